from __future__ import annotations

import re
from pathlib import Path

from webapp.config import ROOT
from webapp.pages.versions import COMPUTING, Versions, _digest, code_version, release


def test_the_code_version_is_the_release_and_a_digest_of_what_computes() -> None:
    assert re.fullmatch(re.escape(release()) + r"\+[0-9a-f]{8}", code_version())
    assert all((ROOT / "webapp" / part / "__init__.py").exists() for part in COMPUTING)


def test_the_digest_changes_with_any_file_that_computes_and_with_no_other(tmp_path: Path) -> None:
    for part in (*COMPUTING, "pages"):
        (tmp_path / part).mkdir()
        (tmp_path / part / "one.py").write_text("1\n")
    first = _digest(tmp_path)
    (tmp_path / "pages" / "one.py").write_text("2\n")
    assert _digest(tmp_path) == first
    (tmp_path / "thermal" / "one.py").write_text("2\n")
    assert _digest(tmp_path) != first


def test_the_data_version_is_that_of_the_folder() -> None:
    assert re.fullmatch(r"[0-9a-f]{16}", Versions(ROOT / "data").data)
