"""Where things are and how the server listens; read from the environment once, at start."""

from __future__ import annotations

import ipaddress
import os
import sys
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlsplit

PACKAGE = Path(__file__).resolve().parent
# What comes with the code lies beside the package in a checkout, and inside it where a wheel was installed.
ROOT = PACKAGE if (PACKAGE / "data").is_dir() else PACKAGE.parent
SHORTEST_SECRET = 32  # characters; as many at random hold more than the 128 bits that a key needs


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


def _host(text: str) -> str:
    try:
        return text if text == "localhost" else str(ipaddress.IPv4Address(text))
    except ValueError:
        problem = f"ADVISOR_HOST is {text!r}; allowed: localhost or an IPv4 address of this machine"
        raise ValueError(problem) from None


def _address(text: str) -> str:
    """Return scheme, host and port as a browser writes them in ``Origin``: no port where it is the usual one."""
    try:
        parts = urlsplit(text.lower().rstrip("/"))
        usual = {"http": 80, "https": 443}[parts.scheme]
        port = "" if parts.port in (None, usual) else f":{parts.port}"
        is_bare = bool(parts.hostname) and not (parts.path or parts.query or parts.fragment or "@" in parts.netloc)
    except (KeyError, ValueError):
        is_bare = False
    if not is_bare:
        raise ValueError(f"ADVISOR_ADDRESS is {text!r}; allowed: an address without a path, as https://cakes.example")
    return f"{parts.scheme}://{parts.hostname}{port}"


def _secret(text: str) -> str:
    if len(text) < SHORTEST_SECRET:
        # The text itself is not repeated: what is said at the start may end in a log.
        raise ValueError(f"ADVISOR_SECRET has {len(text)} characters; allowed: {SHORTEST_SECRET} or more, at random")
    return text


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
    backup_hours: int = 24  # none is made by itself at 0
    purge_days: int = 30  # nothing is purged at 0
    address: str | None = None
    secret: str | None = field(default=None, repr=False)

    @property
    def needs_accounts(self) -> bool:
        """Whether anyone but whoever sits at this machine can reach the advisor."""
        is_here = self.host == "localhost" or ipaddress.IPv4Address(self.host).is_loopback
        return self.address is not None or not is_here

    @property
    def outside(self) -> str | None:
        """Scheme, host and port that others reach the advisor by; none if nobody does, or if it is not known."""
        if self.address or not self.needs_accounts or ipaddress.IPv4Address(self.host).is_unspecified:
            return self.address
        return _address(f"http://{self.host}:{self.port}")

    @classmethod
    def from_environment(cls, environment: Mapping[str, str] | None = None) -> Config:
        """Read the settings; without any the advisor stays on this machine.

        ``ADVISOR_DATA`` and ``ADVISOR_RECORDS`` are folders, ``ADVISOR_PORT`` is a port, ``ADVISOR_BACKUPS`` how many
        backups stay, ``ADVISOR_BACKUP_HOURS`` how many hours lie between two, ``ADVISOR_PURGE_DAYS`` after how many
        days what was deleted goes for good, and ``DATABASE_URL`` a PostgreSQL server to keep the records on.
        ``ADVISOR_HOST`` is the address to listen on, ``ADVISOR_ADDRESS`` the one that browsers use, ``ADVISOR_SECRET``
        the key that signs log-ins and links.

        Raises
        ------
        ValueError
            If a setting is not what is allowed; says which, and what is.
        """
        env = os.environ if environment is None else environment
        return cls(
            data_dir=Path(env.get("ADVISOR_DATA", str(cls.data_dir))),
            port=_whole(env, "ADVISOR_PORT", cls.port, 1, 65535),
            records_dir=Path(env.get("ADVISOR_RECORDS") or records_home(env)),
            database_url=env.get("DATABASE_URL") or None,
            keep_backups=_whole(env, "ADVISOR_BACKUPS", cls.keep_backups, 1, 1000),
            backup_hours=_whole(env, "ADVISOR_BACKUP_HOURS", cls.backup_hours, 0, 8760),
            purge_days=_whole(env, "ADVISOR_PURGE_DAYS", cls.purge_days, 0, 3650),
            host=_host(env.get("ADVISOR_HOST") or cls.host),
            address=_address(env["ADVISOR_ADDRESS"]) if env.get("ADVISOR_ADDRESS") else None,
            secret=_secret(env["ADVISOR_SECRET"]) if env.get("ADVISOR_SECRET") else None,
        )
