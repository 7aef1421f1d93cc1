"""Start the advisor: ``python -m webapp``; or change its accounts: ``add-owner NAME``, ``new-password NAME``."""

from __future__ import annotations

import argparse
import getpass
import os
import sys
import threading
from collections.abc import Sequence

# Many small matrices: threads of the linear algebra library cost more than they bring. Read when numpy is imported.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from waitress import serve  # type: ignore[import-untyped]

from webapp import create_app
from webapp.advice.places import preload
from webapp.config import Config
from webapp.errors import AdvisorError
from webapp.records.errors import NoSuchRecord
from webapp.records.folding import fold
from webapp.records.opening import Records, open_records

LARGEST_BODY = 1024 * 1024


def main(arguments: Sequence[str] = ()) -> int:
    """Do what the command line asks for; say what is wrong in plain lines."""
    asked = _parser().parse_args(arguments)
    try:
        config = Config.from_environment()
        return _serve(config) if asked.command is None else _change_accounts(config, asked)
    except (AdvisorError, ValueError) as refusal:
        failed = "The advisor cannot start" if asked.command is None else "Nothing was changed"
        sys.stderr.write(f"{failed}:\n{refusal}\n")
        return 2


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m webapp", description="Serve the advisor, or change its accounts.")
    commands = parser.add_subparsers(dest="command")
    told = {"add-owner": "make an account that may do everything", "new-password": "give an account a new password"}
    for command, text in told.items():
        commands.add_parser(command, help=text).add_argument("name")
    return parser


def _serve(config: Config) -> int:
    app = create_app(config)
    threading.Thread(target=preload, daemon=True).start()
    address = config.outside or f"http://{config.host}:{config.port}"
    sys.stdout.write(f"Coat and Filling is at {address}/ (stop with Ctrl+C)\n")
    if address.startswith("http://") and config.needs_accounts:
        sys.stdout.write("Passwords travel unencrypted: put a server with TLS in front and set ADVISOR_ADDRESS.\n")
    sys.stdout.flush()
    serve(app, host=config.host, port=config.port, threads=4, max_request_body_size=LARGEST_BODY)
    return 0


def _change_accounts(config: Config, asked: argparse.Namespace) -> int:
    records = open_records(config.records_dir, config.database_url, keep_backups=config.keep_backups)
    try:
        if asked.command == "add-owner":
            records.accounts.add(asked.name, _typed_password(), "owner")
        else:
            records.accounts.set_password(_id_of(records, asked.name), _typed_password())
    finally:
        records.close()
    sys.stdout.write(f"{asked.name} can log in with this password.\n")
    return 0


def _id_of(records: Records, name: str) -> str:
    found = next((account.id for account in records.accounts.list() if account.name_key == fold(name)), None)
    if found is None:
        raise NoSuchRecord(f"There is no account {name!r}.")
    return found


def _typed_password() -> str:
    """Ask at a terminal, twice; from another program read one line."""
    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\r\n")
    password = getpass.getpass("Password: ")
    if getpass.getpass("Once more: ") != password:
        raise ValueError("The two passwords are not the same.")
    return password


def run() -> int:
    """Do what the arguments of this process ask for."""
    return main(sys.argv[1:])


if __name__ == "__main__":
    sys.exit(run())
