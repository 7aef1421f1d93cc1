"""A PostgreSQL server of our own for the tests: Debian's, in a temporary folder, on a socket, as no one important."""

from __future__ import annotations

import glob
import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

USER = "advisor"


class NoServer(Exception):
    """Why none can be started."""


def find_programs() -> Path:
    """The folder of ``initdb`` and ``pg_ctl``, which Debian keeps out of the path."""
    folders = sorted(glob.glob("/usr/lib/postgresql/*/bin"), reverse=True)
    on_path = shutil.which("pg_ctl")
    for folder in [*folders, *([str(Path(on_path).parent)] if on_path else [])]:
        if os.access(f"{folder}/initdb", os.X_OK) and os.access(f"{folder}/pg_ctl", os.X_OK):
            return Path(folder)
    raise NoServer("PostgreSQL's initdb and pg_ctl are not installed (Debian: postgresql)")


def unprivileged() -> int | None:
    """The user to run as, since the server refuses to run as root; none if this user will do."""
    if os.geteuid() != 0:
        return None
    for name in ("postgres", "nobody"):
        try:
            return pwd.getpwnam(name).pw_uid
        except KeyError:
            continue
    raise NoServer("running as root, and there is neither a user postgres nor nobody to run the server as")


@contextmanager
def running_server() -> Iterator[str]:
    """Start one, give its address, stop it and remove all of it."""
    programs, user = find_programs(), unprivileged()
    place = Path(tempfile.mkdtemp(prefix="pg-"))  # short: the path of a socket has at most 107 bytes
    place.chmod(0o700)
    if user is not None:
        os.chown(place, user, -1)

    def run(*arguments: str) -> None:
        done = subprocess.run(arguments, user=user, cwd=place, capture_output=True, text=True, timeout=120)
        if done.returncode:
            raise RuntimeError(f"{Path(arguments[0]).name} failed: {done.stderr.strip()[-300:]}")

    data, control = str(place / "data"), str(programs / "pg_ctl")
    try:
        run(str(programs / "initdb"), "-D", data, "-U", USER, "-A", "trust", "-E", "UTF8", "--locale=C.UTF-8", "-N")
        settings = f"-k {place} -c listen_addresses='' -c fsync=off -c max_connections=40"
        run(control, "-D", data, "-w", "-l", str(place / "log"), "-o", settings, "start")
        try:
            yield f"postgresql://{USER}@/postgres?host={place}"
        finally:
            run(control, "-D", data, "-w", "-m", "immediate", "stop")
    finally:
        shutil.rmtree(place, ignore_errors=True)
