"""Where things are and how the server listens; read from the environment once, at start."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent


def records_home(environment: Mapping[str, str], platform: str = sys.platform) -> Path:
    """Return the folder in which a user's programs keep what they are given, with a folder of ours in it."""
    if platform == "win32":
        parent = Path(environment.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    elif platform == "darwin":
        parent = Path.home() / "Library" / "Application Support"
    else:
        given = Path(environment.get("XDG_DATA_HOME", ""))
        # The XDG Base Directory Specification has a path that is not absolute ignored.
        parent = given if given.is_absolute() else Path.home() / ".local" / "share"
    return parent / "coat-and-filling"


def _whole(environment: Mapping[str, str], name: str, usual: int, least: int, most: int) -> int:
    text = environment.get(name, str(usual))
    if not (text.isascii() and text.isdecimal() and least <= int(text) <= most):
        raise ValueError(f"{name} is {text!r}; allowed: a whole number from {least} to {most}")
    return int(text)


@dataclass(frozen=True)
class Config:
    """Settings of one running advisor."""

    data_dir: Path = ROOT / "data"
    templates_dir: Path = ROOT / "templates"
    static_dir: Path = ROOT / "static"
    host: str = "127.0.0.1"
    port: int = 8000
    records_dir: Path = field(default_factory=lambda: records_home(os.environ))
    database_url: str | None = field(default=None, repr=False)  # it may hold a password
    keep_backups: int = 14

    @classmethod
    def from_environment(cls, environment: Mapping[str, str] | None = None) -> Config:
        """Read the settings; the address stays on this machine.

        ``ADVISOR_DATA`` and ``ADVISOR_RECORDS`` are folders, ``ADVISOR_PORT`` is a port, ``ADVISOR_BACKUPS`` how many
        backups stay, and ``DATABASE_URL`` a PostgreSQL server to keep the records on.

        Raises
        ------
        ValueError
            If the port is not a number from 1 to 65535, or the backups are not 1 to 1000.
        """
        env = os.environ if environment is None else environment
        return cls(
            data_dir=Path(env.get("ADVISOR_DATA", str(cls.data_dir))),
            port=_whole(env, "ADVISOR_PORT", cls.port, 1, 65535),
            records_dir=Path(env.get("ADVISOR_RECORDS") or records_home(env)),
            database_url=env.get("DATABASE_URL") or None,
            keep_backups=_whole(env, "ADVISOR_BACKUPS", cls.keep_backups, 1, 1000),
        )
