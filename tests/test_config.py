from __future__ import annotations

from pathlib import Path

import pytest

from webapp.config import ROOT, Config, records_home


def test_without_settings_records_are_kept_with_the_users_own_things():
    config = Config.from_environment({"HOME": "/home/ann"})
    assert config.records_dir.name == "coat-and-filling"
    assert not config.records_dir.is_relative_to(ROOT)
    assert (config.database_url, config.keep_backups, config.port) == (None, 14, 8000)


def test_settings_are_read():
    config = Config.from_environment(
        {"ADVISOR_RECORDS": "kept", "ADVISOR_BACKUPS": "3", "ADVISOR_PORT": "80", "DATABASE_URL": "postgresql://a/b"}
    )
    assert (config.records_dir, config.keep_backups, config.port) == (Path("kept"), 3, 80)
    assert config.database_url == "postgresql://a/b"


def test_an_empty_setting_is_none():
    config = Config.from_environment({"ADVISOR_RECORDS": "", "DATABASE_URL": ""})
    assert config.records_dir.name == "coat-and-filling"
    assert config.database_url is None


def test_the_password_of_the_database_is_not_printed():
    assert "secret" not in repr(Config(database_url="postgresql://a:secret@b/c"))


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("ADVISOR_PORT", "0"),
        ("ADVISOR_PORT", "65536"),
        ("ADVISOR_PORT", "²"),
        ("ADVISOR_BACKUPS", "none"),
        ("ADVISOR_BACKUPS", "0"),
    ],
)
def test_a_number_out_of_range_is_refused_with_what_is_allowed(name, text):
    with pytest.raises(ValueError, match=f"{name} is '{text}'; allowed: a whole number"):
        Config.from_environment({name: text})


@pytest.mark.parametrize(
    ("platform", "environment", "folder"),
    [
        ("linux", {"XDG_DATA_HOME": "/data"}, Path("/data/coat-and-filling")),
        ("linux", {"XDG_DATA_HOME": "not/absolute"}, Path.home() / ".local/share/coat-and-filling"),
        ("linux", {}, Path.home() / ".local/share/coat-and-filling"),
        ("darwin", {}, Path.home() / "Library/Application Support/coat-and-filling"),
        ("win32", {"LOCALAPPDATA": "/local"}, Path("/local/coat-and-filling")),
        ("win32", {}, Path.home() / "AppData/Local/coat-and-filling"),
    ],
)
def test_each_system_has_its_own_place_for_a_users_things(platform, environment, folder):
    assert records_home(environment, platform) == folder
