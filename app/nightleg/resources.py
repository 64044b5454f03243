"""Finding the data files that come with the program: resources and scenarios.

In a checkout, also when installed editable, they stand at its top level; in a wheel they travel inside the package.
"""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent
_SHIPPED = _PACKAGE / "_shipped"
# app/nightleg is two below the top of the checkout.
_HOME = _SHIPPED if _SHIPPED.is_dir() else _PACKAGE.parents[1]

SCENARIO_SUFFIX = ".flight.toml"


def resource(*parts: str) -> Path:
    """The shipped file or folder `resources/<parts>`.

    Raises FileNotFoundError when it did not come with this installation, ValueError for a path that leaves the folder.
    """
    return _find("resources", parts)


def scenario(name: str) -> Path:
    """The shipped flight file of that name, with or without its ending: `scenario("demo")`.

    Raises FileNotFoundError, naming those there are, and ValueError for a path that leaves the folder.
    """
    file = name if name.endswith(SCENARIO_SUFFIX) else name + SCENARIO_SUFFIX
    try:
        return _find("scenarios", (file,))
    except FileNotFoundError as error:
        raise FileNotFoundError(f"no scenario {name!r} is shipped; there are: {', '.join(scenarios())}") from error


def scenarios() -> tuple[str, ...]:
    """Names of the shipped flight files, without their ending, in alphabetical order."""
    files = (_HOME / "scenarios").glob("*" + SCENARIO_SUFFIX)
    return tuple(sorted(file.name.removesuffix(SCENARIO_SUFFIX) for file in files))


def _find(folder: str, parts: tuple[str, ...]) -> Path:
    relative = Path(folder, *parts)
    if ".." in relative.parts or relative.parts[0] != folder:
        raise ValueError(f"{'/'.join(parts)!r} is not a path inside {folder}/")
    path = _HOME / relative
    if not path.exists():
        raise FileNotFoundError(f"{relative.as_posix()} did not come with this installation (looked in {_HOME})")
    return path
