"""Start the advisor: ``python -m webapp``; or change its accounts and records: ``python -m webapp --help``."""

from __future__ import annotations

import argparse
import getpass
import os
import sys
import threading
from collections.abc import Sequence

# Many small matrices: threads of the linear algebra library cost more than they bring. Read when numpy is imported.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from flask import Flask
from waitress import create_server  # type: ignore[import-untyped]

from webapp import create_app
from webapp.advice.places import preload
from webapp.config import Config
from webapp.errors import AdvisorError
from webapp.pages.crowd import refuse_crowds
from webapp.pages.guarded_app import StartRefused
from webapp.pages.shop import keep_house
from webapp.pages.shop_settings import LARGEST_ARCHIVE
from webapp.records import commands
from webapp.records.errors import NoSuchRecord
from webapp.records.folding import fold
from webapp.records.opening import Records, open_records

LARGEST_BODY = LARGEST_ARCHIVE + 1024 * 1024  # each route takes less, and says so in a page of its own
SERVED_WITH = {
    "threads": 4,
    "max_request_body_size": LARGEST_BODY,
    # Without accounts nobody may ask through a server in front. It shows by what it adds, which must not be taken away.
    "clear_untrusted_proxy_headers": False,
    # Clients that begin a request and never end it are let go before they keep others out.
    "connection_limit": 500,
    "channel_timeout": 30,
    "cleanup_interval": 10,
}


def main(arguments: Sequence[str] = ()) -> int:
    """Do what the command line asks for; say what is wrong in plain lines."""
    asked = _parser().parse_args(arguments)
    try:
        config = Config.from_environment()
        return _serve(config) if asked.command is None else _change(config, asked)
    except (AdvisorError, ValueError) as refusal:
        failed = "The advisor cannot start" if asked.command is None else "Nothing was changed"
        sys.stderr.write(f"{failed}:\n{refusal}\n")
        return 2


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="python -m webapp", description="Serve the advisor, or change what it keeps.")
    into = parser.add_subparsers(dest="command")
    into.add_parser("add-owner", help="make an account that may do everything").add_argument("name")
    into.add_parser("new-password", help="give an account a new password").add_argument("name")
    into.add_parser("backups", help="list the backups")
    into.add_parser("backup", help="make a backup now")
    into.add_parser("restore", help="put a backup in the place of the records").add_argument("name")
    into.add_parser("export", help="write all records into a new archive").add_argument("name", metavar="file")
    reading = into.add_parser("import", help="read an archive into empty records")
    reading.add_argument("name", metavar="file")
    reading.add_argument("--replace", action="store_true", help="in the place of all that is there")
    return parser


def served_app(config: Config | None = None) -> Flask:
    """Build the application that a server's worker serves, with what goes on beside it."""
    app = create_app(config)
    threading.Thread(target=preload, daemon=True).start()
    keep_house(app)
    return app


def _serve(config: Config) -> int:
    app = served_app(config)
    try:
        server = create_server(app, host=config.host, port=config.port, **SERVED_WITH)
    except OSError as refusal:
        raise StartRefused(f"Port {config.port}: {refusal.strerror}. ADVISOR_PORT chooses another.") from None
    refuse_crowds(app, lambda: len(server.task_dispatcher.queue))
    address = config.outside or f"http://{config.host}:{config.port}"
    sys.stdout.write(f"Coat and Filling is at {address}/ (stop with Ctrl+C)\n")
    if address.startswith("http://") and config.needs_accounts:
        sys.stdout.write("Passwords travel unencrypted: put a server with TLS in front and set ADVISOR_ADDRESS.\n")
    sys.stdout.flush()
    server.run()
    return 0


def _change(config: Config, asked: argparse.Namespace) -> int:
    records = open_records(config.records_dir, config.database_url, keep_backups=config.keep_backups)
    try:
        sys.stdout.write(f"{_done(records, asked)}\n")
    finally:
        records.close()
    return 0


def _done(records: Records, asked: argparse.Namespace) -> str:
    match asked.command:
        case "backups":
            return commands.list_backups(records)
        case "backup":
            return commands.make_backup(records)
        case "restore":
            return commands.restore_backup(records, asked.name)
        case "export":
            return commands.export_to(records, asked.name)
        case "import":
            return commands.import_from(records, asked.name, replace=asked.replace)
        case "add-owner":
            records.accounts.add(asked.name, _typed_password(), "owner")
        case _:
            records.accounts.set_password(_id_of(records, asked.name), _typed_password())
    return f"{asked.name} can log in with this password."


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
