"""Try an installed advisor from a folder that holds nothing of it: ``python -m tests.installed PYTHON``."""

from __future__ import annotations

import json
import os
import socket
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from urllib.request import Request, urlopen

BRIEF = {"setting": "shade", "air_high_c": 31, "hold_hours": 3, "tiers": [{"width_cm": 20}]}
LONGEST_START_S = 60.0


def home_of(python: Path, folder: Path) -> Path:
    """Return where an environment has its package from, seen from a folder."""
    where = [str(python), "-c", "import webapp; print(webapp.__file__)"]
    told = subprocess.run(where, cwd=folder, env=_bare(), check=True, capture_output=True, text=True)
    return Path(told.stdout.strip()).parent


def answers(python: Path, folder: Path) -> dict[str, str]:
    """Start the installed program in a folder; return an advice, its page and the style sheet as they are served."""
    port = _free_port()
    settings = {"ADVISOR_PORT": str(port), "ADVISOR_RECORDS": str(folder / "records")}
    program = python.with_name("coat-and-filling")
    with (folder / "log").open("w+") as log:
        server = subprocess.Popen([program], cwd=folder, env=_bare() | settings, stdout=log, stderr=log)
        try:
            address = f"http://127.0.0.1:{port}"
            _wait_for(address, server, folder / "log")
            asked = Request(f"{address}/api/advice", json.dumps(BRIEF).encode(), {"Content-Type": "application/json"})
            return {
                "advice": _read(asked),
                "page": _read(Request(f"{address}/")),
                "style": _read(Request(f"{address}/static/style.css")),
            }
        finally:
            server.terminate()
            server.wait(timeout=10)


def _bare() -> dict[str, str]:
    """Return this environment without what could lead a program back to the checkout or to someone's records."""
    return {
        name: text
        for name, text in os.environ.items()
        if not name.startswith(("ADVISOR_", "PYTHON")) and name != "DATABASE_URL"
    }


def _free_port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


def _wait_for(address: str, server: subprocess.Popen[bytes], log: Path) -> None:
    end = time.monotonic() + LONGEST_START_S
    while True:
        try:
            _read(Request(f"{address}/static/mark.svg"))
            return
        except OSError:
            if server.poll() is not None or time.monotonic() > end:
                raise RuntimeError(f"the installed advisor does not answer:\n{log.read_text()}") from None
            time.sleep(0.1)


def _read(asked: Request) -> str:
    with urlopen(asked, timeout=30) as answer:
        return str(answer.read().decode())


def main(python: Path) -> int:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        found = home_of(python, folder)
        served = answers(python, folder)
    choice = json.loads(served["advice"])["verdict"]
    sys.stdout.write(f"Installed in {found}, it advised ({choice}) and sent {len(served['style'])} bytes of style.\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]).absolute()))
