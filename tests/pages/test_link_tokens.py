from __future__ import annotations

import stat
import string
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask
from itsdangerous import Signer

from tests.pages.open_shop import CLIENT, new_token, open_shop, visitor
from tests.pages.sample_advice import sample_advisor
from webapp import create_app
from webapp.config import Config
from webapp.pages.link_tokens import KEY_FILE, signed, unsigned
from webapp.pages.shop import records_of
from webapp.records.errors import NoSuchRecord


@pytest.fixture
def shop(app: Flask, tmp_path: Path) -> Iterator[Flask]:
    made = open_shop(tmp_path / "shop", app.extensions["catalogue"])
    yield made
    records_of(made).close()


@pytest.fixture
def here(app: Flask, tmp_path: Path) -> Flask:
    """An advisor on this machine alone, without a secret."""
    return create_app(Config(records_dir=tmp_path / "here"), app.extensions["catalogue"], sample_advisor)


def test_a_tampered_link_is_refused_before_anything_is_looked_up(shop: Flask) -> None:
    token = new_token(shop, shop.extensions["consultation_id"])
    name, secret, signature = token.split(".")
    other = new_token(shop, shop.extensions["consultation_id"]).split(".")
    file = records_of(shop).storage.file
    assert file
    away = file.rename(file.with_suffix(".away"))
    wrong = [f"{name}.{secret}", f"{name}.{secret}.{other[2]}", f"{name}.{other[1]}.{signature}", f"{token}x", "", "."]
    for each in wrong:
        assert visitor(shop).get(f"/s/{each or 'x'}").status_code == 404, each
    assert visitor(shop).get(f"/s/{token}").status_code == 503  # this one is looked up, where nothing is now
    away.rename(file)
    assert CLIENT in visitor(shop).get(f"/s/{token}").get_data(as_text=True)


def test_no_letter_of_a_link_stands_for_another(shop: Flask) -> None:
    # Seen to fail: with the comparison of the whole text left out, three other last letters open the link.
    token = new_token(shop, shop.extensions["consultation_id"])
    letters = string.ascii_letters + string.digits + "-_"
    with shop.app_context():
        assert unsigned(token)
        for place in (0, len(token) // 2, len(token) - 1):
            for letter in set(letters) - {token[place]}:
                with pytest.raises(NoSuchRecord):
                    unsigned(token[:place] + letter + token[place + 1 :])


def test_another_secret_opens_nothing(shop: Flask) -> None:
    token = new_token(shop, shop.extensions["consultation_id"])
    forged = Signer("another key, of the right length too", salt="link to a client's sheet").sign(token).decode()
    with shop.app_context():
        for each in (forged, token.rpartition(".")[0], token.swapcase(), "é.é", "x" * 400, "\x00"):
            with pytest.raises(NoSuchRecord):
                unsigned(each)


def test_without_a_secret_a_key_is_made_once_for_this_user_alone(here: Flask, tmp_path: Path) -> None:
    file = tmp_path / "here" / KEY_FILE
    with here.app_context():
        with pytest.raises(NoSuchRecord):
            unsigned("a.b.c")
        assert not file.exists(), "looking at a link made a key"
        assert unsigned(signed("a.b")) == "a.b"
        key = file.read_text()
        assert unsigned(signed("c.d")) == "c.d"
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert file.read_text() == key and len(key) >= 43
    assert [path.name for path in file.parent.iterdir()] == [KEY_FILE]


def test_workers_that_make_the_key_at_once_make_the_same(here: Flask) -> None:
    gate, made = threading.Barrier(4), list[str]()

    def work() -> None:
        with here.app_context():
            gate.wait()
            made.append(signed("a.b"))

    threads = [threading.Thread(target=work) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(made) == 4 and len(set(made)) == 1


def test_the_secret_of_a_link_is_needed_beside_its_signature(shop: Flask) -> None:
    # Whoever had the key alone still could not open anything.
    token = new_token(shop, shop.extensions["consultation_id"])
    name = token.split(".")[0]
    with shop.app_context():
        guessed = signed(f"{name}.guessed")
    assert visitor(shop).get(f"/s/{guessed}").status_code == 404
