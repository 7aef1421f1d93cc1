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


def test_what_goes_on_beside_the_server_is_a_setting():
    usual = Config.from_environment({})
    assert (usual.backup_hours, usual.purge_days) == (24, 30)
    never = Config.from_environment({"ADVISOR_BACKUP_HOURS": "0", "ADVISOR_PURGE_DAYS": "0"})
    assert (never.backup_hours, never.purge_days) == (0, 0)


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
        ("ADVISOR_BACKUP_HOURS", "-1"),
        ("ADVISOR_PURGE_DAYS", "3651"),
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


def test_without_settings_the_advisor_is_on_this_machine_alone():
    config = Config.from_environment({})
    assert (config.host, config.address, config.secret, config.outside) == ("127.0.0.1", None, None, None)
    assert not config.needs_accounts


@pytest.mark.parametrize(
    ("settings", "needs_accounts", "outside"),
    [
        ({"ADVISOR_HOST": "127.0.0.1"}, False, None),
        ({"ADVISOR_HOST": "localhost"}, False, None),
        ({"ADVISOR_HOST": "127.9.9.9"}, False, None),
        ({"ADVISOR_HOST": "0.0.0.0"}, True, None),
        ({"ADVISOR_HOST": "192.0.2.1"}, True, "http://192.0.2.1:8000"),
        ({"ADVISOR_HOST": "192.0.2.1", "ADVISOR_PORT": "80"}, True, "http://192.0.2.1"),
        ({"ADVISOR_ADDRESS": "https://Cakes.Example/"}, True, "https://cakes.example"),
        ({"ADVISOR_ADDRESS": "https://cakes.example:443"}, True, "https://cakes.example"),
        ({"ADVISOR_ADDRESS": "http://cakes.example:443"}, True, "http://cakes.example:443"),
        ({"ADVISOR_HOST": "0.0.0.0", "ADVISOR_ADDRESS": "http://10.0.0.5:8000"}, True, "http://10.0.0.5:8000"),
    ],
)
def test_whoever_lets_others_in_needs_accounts(settings, needs_accounts, outside):
    config = Config.from_environment(settings)
    assert (config.needs_accounts, config.outside) == (needs_accounts, outside)


@pytest.mark.parametrize("host", ["::", "::1", "everywhere", "1.2.3", "127.0.0.1:80", "http://127.0.0.1"])
def test_a_host_that_is_none_is_refused(host):
    with pytest.raises(ValueError, match="ADVISOR_HOST is .*; allowed: localhost or an IPv4 address"):
        Config.from_environment({"ADVISOR_HOST": host})


@pytest.mark.parametrize(
    "address",
    [
        "cakes.example",
        "ftp://cakes.example",
        "https://cakes.example/shop",
        "https://",
        "https://a@b",
        "https://a:x",
        "https://a?b",
    ],
)
def test_an_address_that_is_none_is_refused(address):
    with pytest.raises(ValueError, match="ADVISOR_ADDRESS is .*; allowed: an address without a path"):
        Config.from_environment({"ADVISOR_ADDRESS": address})


def test_a_short_secret_is_refused_and_no_secret_is_repeated():
    with pytest.raises(ValueError, match="ADVISOR_SECRET has 9 characters; allowed: 32 or more") as refused:
        Config.from_environment({"ADVISOR_SECRET": "too-short"})
    assert "too-short" not in str(refused.value)
    assert "long-enough" not in repr(Config.from_environment({"ADVISOR_SECRET": "long-enough" * 3}))
