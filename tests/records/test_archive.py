from __future__ import annotations

import datetime as dt
import hashlib
import io
import json
import zipfile

import pytest

from tests.records.conftest import prepared
from tests.records.rows import RELEASED, lasting, released, take_rows
from tests.records.samples import PASSWORD, content, fill
from tests.records.trial import trial_steps
from webapp.records.archive import LONGEST_LINE, LONGEST_MANIFEST, MANIFEST, export_archive, import_archive
from webapp.records.columns import utc_now
from webapp.records.errors import ArchiveError
from webapp.records.opening import open_records
from webapp.records.outcomes import Note
from webapp.records.schema import steps, upgrade
from webapp.records.storage import Storage, create_file, file_of, url_in_folder


def exported(records) -> bytes:
    file = io.BytesIO()
    export_archive(records.storage, file)
    return file.getvalue()


def changed(archive: bytes, name: str, change) -> io.BytesIO:
    """The archive with one member changed."""
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(archive)) as old, zipfile.ZipFile(made, "w") as new:
        for member in old.namelist():
            content = old.read(member)
            if member != name:
                new.writestr(member, content)
            elif (content := change(content)) is not None:
                new.writestr(member, content)
    made.seek(0)
    return made


def with_rows(archive: bytes, table: str, change) -> io.BytesIO:
    """The archive with a table changed and its manifest made to match."""
    content = b""

    def change_rows(lines):
        nonlocal content
        rows = change([json.loads(line) for line in lines.splitlines()])
        content = b"".join(json.dumps(row).encode() + b"\n" for row in rows)
        return content

    def change_manifest(text):
        manifest = json.loads(text)
        facts = {"rows": content.count(b"\n"), "sha256": hashlib.sha256(content).hexdigest()}
        manifest["tables"][table] |= facts
        return json.dumps(manifest)

    return changed(changed(archive, f"{table}.jsonl", change_rows).getvalue(), MANIFEST, change_manifest)


@pytest.fixture
def full(records):
    fill(records)
    return records


@pytest.fixture
def empty(tmp_path):
    opened = open_records(prepared(tmp_path / "another"), busy_s=0.3)
    yield opened
    opened.close()


def test_what_is_exported_and_imported_is_exported_as_the_same_bytes(full, empty):
    archive = exported(full)
    rows = import_archive(empty.storage, io.BytesIO(archive))
    assert rows == sum(len(found) for found in lasting(take_rows(full.storage.url)).values()) == 17
    assert exported(empty) == archive
    assert lasting(take_rows(empty.storage.url)) == lasting(take_rows(full.storage.url))
    assert empty.accounts.check("anna", PASSWORD).role == "owner"


def test_an_archive_of_a_file_fits_the_server_and_back(file_records, postgres_url, tmp_path):
    fill(file_records)
    archive = exported(file_records)
    server = open_records(tmp_path / "server", postgres_url)
    import_archive(server.storage, io.BytesIO(archive))
    assert exported(server) == archive
    server.close()


def test_the_same_records_give_the_same_bytes(full):
    assert exported(full) == exported(full)


def test_the_archive_is_laid_out_as_it_is_written_down(full):
    with zipfile.ZipFile(io.BytesIO(exported(full))) as archive:
        assert archive.testzip() is None
        manifest = json.loads(archive.read(MANIFEST))
        assert manifest["format"] == "coat-and-filling records"
        assert (manifest["layout"], manifest["schema"]) == (1, steps()[-1])
        assert set(archive.namelist()) == {MANIFEST, *(f"{name}.jsonl" for name in manifest["tables"])}
        for name, facts in manifest["tables"].items():
            content = archive.read(f"{name}.jsonl")
            assert content.isascii()
            assert hashlib.sha256(content).hexdigest() == facts["sha256"]
            rows = [json.loads(line) for line in content.splitlines()]
            assert len(rows) == facts["rows"] > 0
            assert all(list(row) == list(facts["columns"]) for row in rows)
            keys = [next(iter(row.values())) for row in rows]
            assert keys == sorted(keys)
    kinds = manifest["tables"]["outcome"]["columns"]
    assert {kinds[name] for name in ("weather", "held_h", "created_at", "look")} == {"json", "number", "time", "text"}


def test_nothing_is_an_archive_too(records, empty):
    assert import_archive(empty.storage, io.BytesIO(exported(records))) == 0


def test_records_that_are_there_are_replaced_only_on_request(full, empty):
    mine = empty.consultations.add(content("Mine"))
    archive = exported(full)
    with pytest.raises(ArchiveError, match="already"):
        import_archive(empty.storage, io.BytesIO(archive))
    assert empty.consultations.get(mine.id).client == "Mine"
    import_archive(empty.storage, io.BytesIO(archive), replace=True)
    assert exported(empty) == archive
    import_archive(full.storage, io.BytesIO(archive), replace=True)
    assert exported(full) == archive


@pytest.mark.parametrize("kind", ["draft", "note"])
def test_whatever_is_of_a_client_is_a_record_that_is_there(full, empty, kind):
    if kind == "draft":
        empty.drafts.keep("half-filled", {"air_high_c": "3"})
    else:
        kept = empty.consultations.add(content())
        empty.outcomes.add(kept.id, Note("swiss", "smooth", {}, held_h=3.0))
        empty.consultations.delete(kept.id)
        empty.consultations.purge(utc_now() + dt.timedelta(days=1))
    with pytest.raises(ArchiveError, match="already"):
        import_archive(empty.storage, io.BytesIO(exported(full)))


def test_how_a_new_shop_was_set_up_gives_way_to_the_archive(full, empty):
    empty.accounts.add("Somebody", PASSWORD, "owner")
    empty.settings.put("mine", 1)
    archive = exported(full)
    import_archive(empty.storage, io.BytesIO(archive))
    assert exported(empty) == archive


def test_an_archive_without_accounts_leaves_those_that_are_there(records, empty):
    empty.accounts.add("Somebody", PASSWORD, "owner")
    records.consultations.add(content())
    import_archive(empty.storage, io.BytesIO(exported(records)))
    assert empty.accounts.check("somebody", PASSWORD).role == "owner"
    assert empty.consultations.list().total == 1


def test_what_only_the_workers_need_is_not_in_the_archive(full):
    with zipfile.ZipFile(io.BytesIO(exported(full))) as archive:
        assert not {"attempt.jsonl", "turn.jsonl"} & set(archive.namelist())


def test_an_archive_that_unfolds_to_too_much_is_refused_before_it_is_read(full, empty):
    archive = exported(full)
    with pytest.raises(ArchiveError, match="unfolds to more"):
        import_archive(empty.storage, io.BytesIO(archive), largest=1000)
    assert import_archive(empty.storage, io.BytesIO(archive), largest=100_000)


def test_a_table_longer_than_a_batch_comes_back(records, empty):
    for number in range(450):
        records.settings.put(f"key {number}", number)
    import_archive(empty.storage, io.BytesIO(exported(records)))
    assert len(empty.settings.all()) == 450


@pytest.mark.parametrize(
    "bad",
    [
        b"",
        b"no zip",
        b"PK\x03\x04" + b"\x00" * 100,
    ],
)
def test_what_is_no_archive_is_refused(empty, bad):
    with pytest.raises(ArchiveError, match="no archive"):
        import_archive(empty.storage, io.BytesIO(bad), replace=True)


def set_in_manifest(**fields):
    return lambda text: json.dumps(json.loads(text) | fields)


def first_row(**fields):
    return lambda rows: [rows[0] | fields, *rows[1:]]


def without_client(rows):
    return [{key: value for key, value in row.items() if key != "client"} for row in rows]


def with_members(archive: bytes, in_file: int, in_list: int, value: int) -> io.BytesIO:
    """The archive with a byte in the head of every member set, before its data and in the list at the end."""
    made = bytearray(archive)
    for mark, place in ((b"PK\x03\x04", in_file), (b"PK\x01\x02", in_list)):
        start = made.find(mark)
        while start >= 0:
            made[start + place] = value
            start = made.find(mark, start + 4)
    return io.BytesIO(made)


def with_spoilt_packing(archive: bytes) -> io.BytesIO:
    made = bytearray(archive)
    with zipfile.ZipFile(io.BytesIO(archive)) as read:
        start = read.getinfo(MANIFEST).header_offset + 30 + len(MANIFEST)
    made[start] = 0xFF  # no such kind of block
    return io.BytesIO(made)


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda a: io.BytesIO(a[: len(a) // 2]), "no archive"),
        (lambda a: changed(a, MANIFEST, lambda text: None), "no archive"),
        (lambda a: changed(a, MANIFEST, lambda text: b"[]"), "no archive"),
        (lambda a: changed(a, MANIFEST, lambda text: b"{"), "no archive"),
        (lambda a: changed(a, MANIFEST, set_in_manifest(format="other")), "no archive"),
        (lambda a: changed(a, MANIFEST, set_in_manifest(layout=2)), "newer"),
        (lambda a: changed(a, MANIFEST, set_in_manifest(schema="9999")), "newer"),
        (lambda a: changed(a, MANIFEST, set_in_manifest(tables={"sqlite_master": {}})), "not known"),
        (lambda a: changed(a, MANIFEST, set_in_manifest(tables=3)), "no archive"),
        (lambda a: changed(a, "setting.jsonl", lambda lines: None), "no archive"),
        (lambda a: changed(a, "setting.jsonl", lambda lines: b""), "damaged"),
        (lambda a: changed(a, "setting.jsonl", lambda lines: lines.replace(b"24", b"25")), "damaged"),
        (lambda a: changed(a, "setting.jsonl", lambda lines: lines[:-1]), "cut off"),
        (lambda a: with_rows(a, "consultation", without_client), "columns"),
        (lambda a: with_rows(a, "consultation", first_row(client=3)), "where a text should be"),
        (lambda a: with_rows(a, "consultation", first_row(revision=True)), "where a number should be"),
        (lambda a: with_rows(a, "consultation", first_row(created_at="yesterday")), "no archive"),
        (lambda a: with_rows(a, "consultation", first_row(created_at="2027-05-01T09:00:00")), "cannot be kept"),
        (lambda a: with_rows(a, "setting", first_row(value=float("inf"))), "cannot be kept"),
        (lambda a: with_rows(a, "setting", lambda rows: [[]]), "columns"),
        (lambda a: changed(a, "setting.jsonl", lambda lines: lines + b" " * LONGEST_LINE), "too long"),
        # Seen to fail, each with an error that was none for a page, or by being read.
        (lambda a: with_rows(a, "consultation", first_row(coat="swiss\x00")), "no text has"),
        (lambda a: with_rows(a, "outcome", first_row(coat_c=float("inf"))), "where a number should be"),
        (lambda a: with_rows(a, "consultation", first_row(revision=10**30)), "where a number should be"),
        (lambda a: changed(a, MANIFEST, lambda text: b"[" * 100_000), "no archive"),
        (lambda a: changed(a, MANIFEST, lambda text: text + b" " * LONGEST_MANIFEST), "too long"),
        (lambda a: with_members(a, 6, 8, 0x01), "password"),
        (lambda a: with_members(a, 8, 10, zipfile.ZIP_LZMA), "not ours"),
        (with_spoilt_packing, "no archive"),
    ],
)
def test_a_bad_archive_is_refused_and_changes_nothing(file_records, make, message):
    fill(file_records)
    before = take_rows(file_records.storage.url)
    with pytest.raises(ArchiveError, match=message):
        import_archive(file_records.storage, make(exported(file_records)), replace=True)
    assert take_rows(file_records.storage.url) == before


def test_an_archive_of_an_older_schema_goes_through_the_steps(tmp_path, file_records):
    fill(file_records)
    archive, before = exported(file_records), take_rows(file_records.storage.url)
    folder, url = trial_steps(tmp_path), url_in_folder(tmp_path / "newer")
    create_file(file_of(url))
    upgrade(url, folder=folder)
    newer = Storage(url)
    assert import_archive(newer, io.BytesIO(archive), folder=folder) == 17
    newer.close()
    after = take_rows(url)
    for row in after["consultation"]:
        row.pop("initial")
    assert lasting(after) == lasting(before)


@pytest.mark.parametrize("revision", steps())
def test_an_archive_of_every_released_schema_is_read(revision, records):
    rows = lasting(released(revision))
    with (RELEASED / f"{revision}.zip").open("rb") as file:
        assert import_archive(records.storage, file) == sum(len(found) for found in rows.values())
    if revision == steps()[-1]:
        assert lasting(take_rows(records.storage.url)) == rows
    assert records.consultations.list("zoe").total == 1
    assert records.accounts.check("anna", PASSWORD).role == "owner"


@pytest.mark.parametrize(
    ("table", "change"),
    [
        ("setting", lambda rows: [rows[0], rows[0]]),
        ("advised", lambda rows: [rows[0] | {"consultation_id": "none"}, *rows[1:]]),
        ("account", lambda rows: [rows[0] | {"role": "king"}, *rows[1:]]),
    ],
)
def test_what_the_database_refuses_of_an_archive_changes_nothing(full, table, change):
    before = take_rows(full.storage.url)
    with pytest.raises(ArchiveError, match="twice"):
        import_archive(full.storage, with_rows(exported(full), table, change), replace=True)
    assert take_rows(full.storage.url) == before
