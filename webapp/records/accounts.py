"""Who may log in: names, argon2id hashes and roles. Throttling and sessions are the pages' part."""

from __future__ import annotations

import datetime as dt
import unicodedata
from collections.abc import Callable, Sequence

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from webapp.errors import FieldProblem
from webapp.records.columns import utc_now
from webapp.records.errors import LastOwner, NoSuchRecord, RecordRefused
from webapp.records.folding import fold
from webapp.records.model import Account, Role, new_id
from webapp.records.storage import Storage
from webapp.records.texts import clean_name

# NIST SP 800-63B (2017), 5.1.1.2, asks for at least 8 characters; 12 is our own, longer choice.
SHORTEST_PASSWORD = 12
LONGEST_PASSWORD = 256  # bounds the work that one log-in can ask for


class Accounts:
    """The accounts of one shop; the hasher's parameters are those of RFC 9106, section 4, second choice."""

    def __init__(
        self,
        storage: Storage,
        now: Callable[[], dt.datetime] = utc_now,
        hasher: PasswordHasher | None = None,
    ) -> None:
        self._storage = storage
        self._now = now
        self._hasher = hasher or PasswordHasher()
        self._nobodys_hash: str | None = None

    def add(self, name: str, password: str, role: Role) -> Account:
        """Make an account.

        Raises
        ------
        RecordRefused
            If the name is taken (case and accents do not tell names apart) or the password too short or too long;
            it says both at once.
        """
        problems = _password_problems(password)
        try:
            name = clean_name("name", name, 80)
        except RecordRefused as refused:
            raise RecordRefused(*refused.problems, *problems) from None
        moment = self._now()
        made = Account(
            id=new_id(), name=name, name_key=fold(name), role=role, created_at=moment, password_changed_at=moment
        )
        made.password_hash = "" if problems else self._hasher.hash(_bytes(password))
        with self._storage.writing() as session:
            if session.scalar(select(Account.id).where(Account.name_key == made.name_key)) is not None:
                problems = [FieldProblem("name", "is taken", "a name that no other account has"), *problems]
            if problems:
                raise RecordRefused(*problems)
            session.add(made)
        return made

    def check(self, name: str, password: str) -> Account | None:
        """Return the account that a name and its password belong to; takes as long for a name that is none."""
        with self._storage.reading() as session:
            found = session.scalar(select(Account).where(Account.name_key == fold(name[:LONGEST_PASSWORD])))
        nobodys = self._hash_of_nobody()  # also where it is not needed: else the first time it is would take longer
        is_right = self._is_right(found.password_hash if found else nobodys, password)
        if found is None or not is_right:
            return None
        if self._hasher.check_needs_rehash(found.password_hash):
            self._renew_hash(found.id, found.password_hash, self._hasher.hash(_bytes(password)))
        return found

    def get(self, id: str) -> Account:
        """Return an account."""
        with self._storage.reading() as session:
            return _find(session, id)

    def list(self) -> Sequence[Account]:
        """Return all accounts by name."""
        with self._storage.reading() as session:
            return session.scalars(select(Account).order_by(Account.name_key)).all()

    def count(self) -> int:
        """Return how many accounts there are."""
        with self._storage.reading() as session:
            return session.scalar(select(func.count()).select_from(Account)) or 0

    def set_password(self, id: str, password: str) -> Account:
        """Change a password; sessions begun before ``password_changed_at`` are no longer to be trusted."""
        if problems := _password_problems(password):
            raise RecordRefused(*problems)
        hashed = self._hasher.hash(_bytes(password))
        with self._storage.writing() as session:
            found = _find(session, id)
            found.password_hash, found.password_changed_at = hashed, self._now()
        return found

    def set_role(self, id: str, role: Role) -> Account:
        """Change a role.

        Raises
        ------
        LastOwner
            If no owner would be left.
        """
        with self._storage.writing() as session:
            found = _find(session, id)
            if role != "owner":
                _refuse_last_owner(session, found)
            found.role = role
        return found

    def remove(self, id: str) -> None:
        """Remove an account with its drafts; raises as :meth:`set_role` does."""
        with self._storage.writing() as session:
            found = _find(session, id)
            _refuse_last_owner(session, found)
            session.delete(found)

    def _is_right(self, hashed: str, password: str) -> bool:
        if len(password) > LONGEST_PASSWORD:
            return False
        try:
            return self._hasher.verify(hashed, _bytes(password))
        except (VerificationError, InvalidHashError):
            return False

    def _hash_of_nobody(self) -> str:
        if self._nobodys_hash is None:
            self._nobodys_hash = self._hasher.hash(new_id())
        return self._nobodys_hash

    def _renew_hash(self, id: str, old: str, new: str) -> None:
        with self._storage.writing() as session:
            found = _find(session, id)
            if found.password_hash == old:
                found.password_hash = new


def _find(session: Session, id: str) -> Account:
    found = session.get(Account, id)
    if found is None:
        raise NoSuchRecord("There is no such account.")
    return found


def _refuse_last_owner(session: Session, account: Account) -> None:
    # Locks all owners: on PostgreSQL two of them could else step down at the same time.
    owners = session.scalars(select(Account.id).where(Account.role == "owner").with_for_update()).all()
    if list(owners) == [account.id]:
        raise LastOwner()


def _password_problems(password: str) -> list[FieldProblem]:
    if SHORTEST_PASSWORD <= len(password) <= LONGEST_PASSWORD:
        return []
    allowed = f"{SHORTEST_PASSWORD} to {LONGEST_PASSWORD} characters"
    return [FieldProblem("password", f"has {len(password)} characters", allowed)]


def _bytes(password: str) -> bytes:
    # One form of each character: keyboards differ in how they send an accent.
    return unicodedata.normalize("NFKC", password).encode("utf-8", "surrogatepass")
