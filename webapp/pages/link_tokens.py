"""Links as they are sent: signed, so that one that was tampered with is refused before anything is looked up.

The key is the shop's secret. Without one it is made once for an installation, in a file beside the records.
"""

from __future__ import annotations

import hashlib
import os
import secrets
from pathlib import Path

from itsdangerous import BadSignature, Signer

from webapp.config import Config
from webapp.pages.shop import current_config
from webapp.records.errors import NoSuchRecord
from webapp.records.storage import translated

KEY_FILE = "links.key"
SALT = "link to a client's sheet"
LONGEST = 300


def signed(token: str) -> str:
    """Sign a token of the records.

    Raises
    ------
    StorageError
        If there is no key yet and none can be kept.
    """
    config = current_config()
    return _signer(_key(config) or _made_key(config)).sign(token).decode("ascii")


def unsigned(text: str) -> str:
    """Return the token that was signed.

    Raises
    ------
    NoSuchRecord
        If it was not signed by this shop, or not as it is now.
    """
    key = _key(current_config())
    if key is None or not text.isascii() or len(text) > LONGEST:
        raise NoSuchRecord("This link was not made here.")
    try:
        token = _signer(key).unsign(text).decode("ascii")
    except BadSignature:
        raise NoSuchRecord("This link was not made here.") from None
    # The last letter of a signature has bits to spare, so that several letters stand for the same one.
    if not secrets.compare_digest(_signer(key).sign(token).decode("ascii"), text):
        raise NoSuchRecord("This link was not made here.")
    return token


def _signer(key: str) -> Signer:
    return Signer(key, salt=SALT, key_derivation="hmac", digest_method=hashlib.sha256)


def _key(config: Config) -> str | None:
    if config.secret is not None:
        return config.secret
    with translated():
        try:
            return _file(config).read_text("ascii")
        except FileNotFoundError:
            return None


def _file(config: Config) -> Path:
    return config.records_dir / KEY_FILE


def _made_key(config: Config) -> str:
    """Make the key; of several workers that do so at once the first one's counts."""
    file = _file(config)
    partial = file.with_suffix(f".{secrets.token_hex(8)}")
    with translated():
        file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        try:
            with os.fdopen(os.open(partial, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "w") as made:
                made.write(secrets.token_urlsafe(32))
                made.flush()
                os.fsync(made.fileno())
            try:
                os.link(partial, file)
            except FileExistsError:
                pass
        finally:
            partial.unlink(missing_ok=True)
        return file.read_text("ascii")
