"""Where things are and how the server listens; read from the environment once, at start."""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent


@dataclass(frozen=True)
class Config:
    """Settings of one running advisor."""

    data_dir: Path = ROOT / "data"
    templates_dir: Path = ROOT / "templates"
    static_dir: Path = ROOT / "static"
    host: str = "127.0.0.1"
    port: int = 8000

    @classmethod
    def from_environment(cls, environment: Mapping[str, str] | None = None) -> Config:
        """Read ``ADVISOR_DATA`` (a folder) and ``ADVISOR_PORT``; the address stays on this machine.

        Raises
        ------
        ValueError
            If the port is not a number from 1 to 65535.
        """
        env = os.environ if environment is None else environment
        port_text = env.get("ADVISOR_PORT", str(cls.port))
        if not port_text.isdecimal() or not 1 <= int(port_text) <= 65535:
            raise ValueError(f"ADVISOR_PORT is {port_text!r}; allowed: a whole number from 1 to 65535")
        return cls(data_dir=Path(env.get("ADVISOR_DATA", str(cls.data_dir))), port=int(port_text))
