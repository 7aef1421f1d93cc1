from __future__ import annotations

import pytest

from tests.records.samples import content
from webapp.records.opening import open_records


def test_what_was_kept_is_there_at_the_next_start(tmp_path, database_url):
    first = open_records(tmp_path / "kept", database_url)
    id = first.consultations.add(content()).id
    first.close()
    second = open_records(tmp_path / "kept", database_url)
    assert second.consultations.get(id).client == "Zoë Müller"
    assert second.backups.made() == ()  # no step of the schema, no backup
    second.close()


def test_a_file_stands_in_a_folder_that_is_made_for_it(tmp_path):
    records = open_records(tmp_path / "new" / "deep", keep_backups=3)
    assert records.storage.file == tmp_path / "new" / "deep" / "records.sqlite3"
    assert records.storage.file.exists()
    assert (records.backups.folder.parent, records.backups.keep) == (records.storage.file.parent, 3)
    records.close()


def test_an_address_that_is_not_understood_makes_nothing(tmp_path):
    with pytest.raises(ValueError, match="DATABASE_URL"):
        open_records(tmp_path / "kept", "mysql://a/b")
    assert list(tmp_path.iterdir()) == []
