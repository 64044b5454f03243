"""What reaches standard output and standard error, whatever stands behind them."""

from __future__ import annotations

import io

import pytest

from nightleg.commands import terminal
from nightleg.commands.terminal import OutputClosed, OutputFailed, complain, encodable, limited, plain, say


class Stream(io.StringIO):
    """A text stream of a named encoding that fails as told."""

    def __init__(self, encoding: str = "utf-8", fault: Exception | None = None) -> None:
        super().__init__()
        self._name, self._fault = encoding, fault

    encoding = property(lambda self: self._name)

    def flush(self) -> None:
        if self._fault is not None:
            raise self._fault


@pytest.mark.parametrize(
    ("encoding", "shown"),
    [
        ("utf-8", "41°12.4′N −0.8 95 % 7.4 × 4.8 é"),
        ("latin-1", "41°12.4'N -0.8 95 % 7.4 × 4.8 é"),
        ("ascii", "41 12.4'N -0.8 95 % 7.4 x 4.8 ?"),
        ("cp437", "41°12.4'N -0.8 95 % 7.4 x 4.8 é"),
    ],
)
def test_signs_that_cannot_be_encoded_get_their_neighbours(encoding: str, shown: str) -> None:
    assert encodable("41°12.4′N −0.8 95 % 7.4 × 4.8 é", Stream(encoding)) == shown


def test_every_neighbour_is_one_ascii_sign() -> None:
    for sign, neighbour in terminal._NEIGHBOURS.items():
        assert len(sign) == len(neighbour) == 1
        assert neighbour.isascii()


@pytest.mark.parametrize(
    ("given", "shown"),
    [
        ("a\x1b[31mb", "a\\x1b[31mb"),
        ("a\nb\tc", "a\\nb\\tc"),
        ("\x9b1m", "\\x9b1m"),
        ("\u202eabc", "\\u202eabc"),
        ("\udc80", "\\udc80"),
        ("41°12.4′ − ½ é", "41°12.4′ − ½ é"),
    ],
)
def test_control_characters_are_shown(given: str, shown: str) -> None:
    assert plain(given) == shown


def test_long_messages_are_cut_at_a_line() -> None:
    message = "\n".join(f"line {n} " + "x" * 90 for n in range(100))
    cut = limited(message)
    assert len(cut) <= terminal.LONGEST_MESSAGE
    kept = cut.split("\n")
    assert kept[0] == "line 0 " + "x" * 90
    assert kept[-1] == f"… and {100 - (len(kept) - 1)} more lines"


def test_one_endless_line_is_cut_too() -> None:
    assert len(limited("x" * 10_000)) <= terminal.LONGEST_MESSAGE


def test_a_complaint_stays_short_after_escaping(monkeypatch: pytest.MonkeyPatch) -> None:
    stream = Stream()
    monkeypatch.setattr("sys.stderr", stream)
    complain("\x1b" * 3900)
    assert 0 < len(stream.getvalue()) <= terminal.LONGEST_MESSAGE
    assert "\x1b" not in stream.getvalue()


def test_faults_of_standard_output(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdout", Stream(fault=BrokenPipeError()))
    with pytest.raises(OutputClosed):
        say("x\n")
    monkeypatch.setattr("sys.stdout", Stream(fault=OSError(28, "No space left on device")))
    with pytest.raises(OutputFailed, match="No space left on device"):
        say("x\n")
    monkeypatch.setattr("sys.stdout", None)
    with pytest.raises(OutputFailed, match="closed"):
        say("x\n")


def test_a_standard_error_that_is_gone_is_no_matter(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stderr", None)
    complain("x")
    monkeypatch.setattr("sys.stderr", Stream(fault=BrokenPipeError()))
    complain("x")
