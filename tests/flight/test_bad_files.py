"""Files that are no flight files at all, and hostile ones: one message, within seconds, whatever they hold."""

from __future__ import annotations

import os
import random
import time
from pathlib import Path

import pytest

from nightleg.flight.errors import FlightError
from nightleg.flight.read import parse_flight, read_flight

SMALL = (Path(__file__).parent / "fixtures" / "small.flight.toml").read_text(encoding="utf-8")
MB = 2**20
LONGEST_S = 5.0  # what the format promises for any file


def refusal(path: Path) -> str:
    started = time.process_time()
    with pytest.raises(FlightError) as caught:
        read_flight(path)
    assert time.process_time() - started < LONGEST_S
    message = str(caught.value)
    assert 0 < len(message) <= 4000
    assert "Traceback" not in message
    return message


def refused(tmp_path: Path, data: bytes) -> str:
    path = tmp_path / "bad.flight.toml"
    path.write_bytes(data)
    return refusal(path)


def test_missing_file_and_folder(tmp_path: Path) -> None:
    assert refusal(tmp_path / "nothing.flight.toml") == "there is no such file"
    assert "is a folder" in refusal(tmp_path)
    assert "cannot be read" in refusal(Path("a\0b"))


def test_file_without_permission(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "closed.flight.toml"
    path.write_text(SMALL)
    path.chmod(0)
    if os.geteuid() == 0:  # nothing is closed to this user, so the system's answer is made up

        def closed(*_: object) -> None:
            raise PermissionError(13, "Permission denied")

        monkeypatch.setattr("builtins.open", closed)
    assert "permissions forbid it" in refusal(path)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b" \n\r\n\t", "empty"),
        (b"\xef\xbb\xbf", "empty"),
        (b"\0" * 100, "binary"),
        (bytes(range(256)), "binary"),
        (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "binary"),
        (SMALL.encode("utf-16"), "UTF-16 text; save it as UTF-8"),
        (SMALL.encode("utf-16-le"), "UTF-16 text; save it as UTF-8"),
        (SMALL.encode("utf-16-be"), "UTF-16 text; save it as UTF-8"),
        (SMALL.encode("utf-32"), "UTF-32 text; save it as UTF-8"),
        (SMALL.replace("Small", "Açores").encode("latin-1"), "line 3: byte 0xe7 is no UTF-8"),
        (b"x" * (16 * MB + 1), "larger than 16 MB"),
    ],
)
def test_no_text_at_all(tmp_path: Path, data: bytes, words: str) -> None:
    assert words in refused(tmp_path, data)


def many(text: str) -> bytes:
    """`text` with {i} counted up, over and over until 16 MB are nearly full, after a small flight."""
    return (SMALL + "".join(text.replace("{i}", str(i)) for i in range(15 * MB // (len(text) + 5)))).encode()


HOSTILE = {
    "one word": b"x" * 16 * MB,
    "quotes": b'"' * 16 * MB,
    "comments": b"#\n" * 8 * MB,
    "brackets": b"[" * 16 * MB,
    "nested lists": b"a = " + b"[" * 90_000,
    "nested tables": b"a = " + b"[{a=" * 20_000,
    "a key of many parts": b"a." * 50_000 + b"b = 1",
    "a quoted key of many parts": b'"a".' * 50_000 + b"b = 1",
    "a heading of many parts": b"[" + b"a . " * 50_000 + b"b]",
    "a number of many figures": b"a = " + b"9" * 15 * MB,
    "a hexadecimal number": b"a = 0x" + b"f" * 15 * MB,
    "an int too long for text": SMALL.encode() + b"[truth]\nseed = 0x" + b"f" * 3900,
    "many sights": many('[[sight]]\nid = "s{i}"\nbody = "Vega"\n'),
    "sights up to the limit": SMALL.encode()
    + b"".join(b'[[sight]]\nid = "s%d"\nbodi = 1\n' % i for i in range(45_000)),
    "unknown keys up to the limit": SMALL.encode() + b"".join(b"k%d = 1\n" % i for i in range(99_000)),
    "wrong rows up to the limit": SMALL.encode() + b"[truth]\ntrack = [" + b"1," * 449_000 + b"]\n",
    "long texts": SMALL.encode() + b"".join(b'[[log]]\ntext = "%s"\n' % (b"v " * 1450) for _ in range(5000)),
    "random bytes": random.Random(1).randbytes(15 * MB),
    "random printable text": bytes(random.Random(2).choices(range(32, 127), k=MB)),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_file_is_refused_in_time(tmp_path: Path, name: str) -> None:
    refused(tmp_path, HOSTILE[name])


def test_track_of_half_a_day_each_second_is_read(tmp_path: Path) -> None:
    rows = [
        f'["2026-03-14T{second // 3600:02d}:{second // 60 % 60:02d}:{second % 60:02d}Z", 41.5, -28.25, 31000],\n'
        for second in range(43_200)
    ]
    path = tmp_path / "long.flight.toml"
    path.write_text(SMALL + "\n[truth]\ntrack = [\n" + "".join(rows) + "]\n")
    truth = read_flight(path).flight.truth
    assert truth is not None
    assert len(truth.track) == 43_200


@pytest.mark.parametrize(
    "notes", ["x" * 50_000, "1." * 2000, "a. " * 500, "9" * 5000, "[" * 5000 + "{" * 5000, "'" * 5000, "# = # = " * 500]
)
def test_long_text_is_no_reason_to_refuse_a_file(notes: str) -> None:
    for quotes in ('"', '"""'):
        text = f'title = "T" # {notes}\nnotes = {quotes}{notes}{quotes}'
        flight = parse_flight(SMALL.replace('title = "Small"', text))
        assert flight.flight.notes == notes


@pytest.mark.parametrize(
    ("text", "place", "words"),
    [
        ("a = 1\nb = " + "9" * 4001, "line 2, b", "more than 4000 characters"),
        ("a = 1\nb = [\n " + "9" * 4001 + "]", "line 3", "more than 4000 characters"),
        ("a = 1\n" + "b." * 20 + "c = 1", "line 2", "a key of more than 16 parts"),
        ("a = 1\nb = " + "[" * 5000, "line 2, b:", "nested more than 16 deep"),
        ("a = 1\n" * 100_001, "line 100001, a", "more than 100 000 keys"),
        ("a = [" + "1,\n" * 450_000, "line 449999", "more than 450 000 values"),
    ],
)
def test_limits_are_told_with_line_and_key(text: str, place: str, words: str) -> None:
    with pytest.raises(FlightError) as caught:
        parse_flight(text)
    assert str(caught.value).startswith(place)
    assert words in str(caught.value)
