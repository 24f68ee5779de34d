"""Adding, correcting, history, export and import."""

from __future__ import annotations

import copy
import json
import sqlite3

import pytest

from notes2sheet.archive import Archive, ArchiveError, connect
from notes2sheet.archive.codec import pack, primer, unpack
from notes2sheet.archive.query import Query, find
from notes2sheet.archive.record import make_record, read_records
from notes2sheet.errors import Notes2SheetError


def draft(wrapper: dict, **more) -> dict:
    return {"sheet": wrapper["sheet"], **more}


def finished(wrapper: dict, score: float, at: str = "2025-05-05T20:00:00+00:00", **more) -> dict:
    sheet = copy.deepcopy(wrapper["sheet"])
    sheet["categories"]["overall"]["score"] = score
    return {
        "sheet": sheet,
        "judge": "Ada Brandt",
        "finished_at": at,
        "journal": [{"set": "overall", "to": score}],
        **more,
    }


def outcomes(archive: Archive, *given: dict) -> list[str]:
    return [archive.add([make_record(data, "test")])[0].outcome for data in given]


def score(archive: Archive) -> float:
    return archive.rows("SELECT score FROM parts WHERE category = 'overall'")[0][0]


def test_the_same_sheet_twice_is_one(path, wrappers):
    with Archive(path, create=True) as archive:
        assert outcomes(archive, draft(wrappers[0]), draft(wrappers[0]), wrappers[0]["sheet"]) == [
            "new",
            "same",
            "same",
        ]
        assert archive.rows("SELECT count(*) FROM sheet") == [(1,)]


def test_a_finished_sheet_takes_its_drafts_place_and_keeps_the_history(path, wrappers):
    with Archive(path, create=True) as archive:
        given = (
            draft(wrappers[0]),
            finished(wrappers[0], 4.0),
            draft(wrappers[0]),
            finished(wrappers[0], 5.0, "2025-06-01T20:00:00Z"),
        )
        assert outcomes(archive, *given) == ["new", "corrected", "same", "corrected"]
        assert outcomes(archive, finished(wrappers[0], 6.0, "2025-05-20T20:00:00Z")) == ["filed"]
        assert score(archive) == 5.0
        history = archive.history(1)
        assert [v["data"]["status"] for v in history] == ["draft", "finished", "finished", "finished"]
        assert [v["current"] for v in history] == [False, False, True, False]
        assert history[1]["data"]["journal"] == [{"set": "overall", "to": 4.0}]
        assert archive.rows("SELECT judge, tasted, status FROM sheets") == [("Ada Brandt", "2025-06-01", "finished")]


def test_two_judges_of_the_same_words_are_two_sheets(path, wrappers):
    with Archive(path, create=True) as archive:
        assert outcomes(
            archive, draft(wrappers[0], judge="Ada"), draft(wrappers[0], judge="Bo"), draft(wrappers[0], judge="ADA")
        ) == ["new", "new", "corrected"]
        changed = copy.deepcopy(wrappers[0])
        changed["sheet"]["entry"]["name"] = "Another"
        with pytest.raises(Notes2SheetError, match="several judges"):
            archive.add([make_record(draft(changed), "test")])


def test_a_corrected_sheet_is_found_by_its_new_words_only(path, wrappers):
    with Archive(path, create=True) as archive:
        first, second = copy.deepcopy(wrappers[0]), copy.deepcopy(wrappers[1])
        first["sheet"]["text"] += " zanzibar"
        archive.add([make_record(first, "test")])
        assert find(archive, Query("zanzibar")).count == 1
        assert archive.add([make_record(second, "test")], replaces=1)[0].outcome == "corrected"
        assert find(archive, Query("zanzibar")).count == 0
        assert archive.rows("SELECT count(*) FROM tags") == [(len(second["sheet"]["descriptors"]),)]
        assert [v["data"]["sheet"]["text"] for v in archive.history(1)] == [
            first["sheet"]["text"],
            second["sheet"]["text"],
        ]
        assert archive.rows("INSERT INTO words (words) VALUES ('integrity-check')") == []


def test_export_and_import_lose_nothing(path, tmp_path, wrappers):
    with Archive(path, create=True) as archive:
        archive.add([make_record(w, "test") for w in wrappers])
        outcomes(
            archive,
            finished(wrappers[0], 4.0),
            finished(wrappers[0], 5.0),
            {**finished(wrappers[1], 3.0), "note": {"ünïcode": [1, 2.5, None, [3, 4]]}},
        )
        lines = list(archive.export())
    with Archive(tmp_path / "other.sqlite", create=True) as other:
        assert other.bring_in(lines) == {"new": 42, "merged": 0, "same": 0}
        assert list(other.export()) == lines
        assert other.bring_in(lines) == {"new": 0, "merged": 0, "same": 42}
        assert (
            other.rows("SELECT * FROM tags ORDER BY sheet, n")[:50]
            == Archive(path).rows("SELECT * FROM tags ORDER BY sheet, n")[:50]
        )


def test_a_bad_line_imports_nothing(path, wrappers):
    with Archive(path, create=True) as archive:
        archive.add([make_record(wrappers[0], "test")])
        lines = list(archive.export())
    good = {
        **lines[0],
        "uid": "other",
        "versions": [{**lines[0]["versions"][0], "data": make_record(wrappers[1], "x").data}],
    }
    with Archive(path) as archive:

        def broken():
            yield good
            raise Notes2SheetError("broken")

        with pytest.raises(Notes2SheetError):
            archive.bring_in(broken())
        assert archive.rows("SELECT count(*) FROM sheet") == [(1,)]


def test_views_and_pandas_readers(path, wrappers):
    pandas = pytest.importorskip("pandas")
    with Archive(path, create=True) as archive:
        archive.add([make_record(w, "test") for w in wrappers])
    with sqlite3.connect(path) as plain:
        for view in ("sheets", "parts", "tags", "broader_terms", "flags", "history"):
            assert plain.execute(f"SELECT count(*) FROM {view}").fetchone()[0] > 0
    frame = pandas.read_sql("SELECT * FROM tags JOIN notes USING (sheet)", connect(path))
    assert len(frame) == sum(len(w["sheet"]["descriptors"]) for w in wrappers)
    assert set(frame.text) == {w["sheet"]["text"] for w in wrappers}
    with pytest.raises(sqlite3.OperationalError):
        connect(path).execute("DELETE FROM flag")


@pytest.mark.parametrize(
    "data", [{}, {"a": [3, 1]}, [[0, 2], [True, 1], [5, 5, 5], ["a", 1]], {"x": {"span": [10**12, 7]}}, "ß"]
)
def test_any_json_survives_the_codec(data):
    assert unpack(pack(data, primer()), primer()) == data


@pytest.mark.parametrize(
    "content",
    ["{", "[]", '{"sheet": 3}', '{"sheet": {"text": "x"}}', '{"a": NaN}', '{"a":' * 50_000, '{"finished_at": 5}', ""],
)
def test_what_is_no_sheet_is_refused(tmp_path, content):
    file = tmp_path / "sheet.json"
    file.write_text(content)
    with pytest.raises(Notes2SheetError) as said:
        read_records(str(file))
    assert "sheet.json" in str(said.value)


def test_broken_metadata_is_refused(wrappers):
    for more in ({"finished_at": "soon"}, {"tasted": "2025-13-01"}, {"judge": 5}, {"status": "done"}):
        with pytest.raises(Notes2SheetError):
            make_record({**draft(wrappers[0]), **more}, "test")


def test_notes_are_drafted_and_wrappers_read(tmp_path, wrappers):
    notes, sheet, wrapped = tmp_path / "n.txt", tmp_path / "s.json", tmp_path / "s.finished.json"
    notes.write_text("A hazy IPA. The nose has big grapefruit, no diacetyl. Aroma ten.")
    sheet.write_text(json.dumps(wrappers[0]["sheet"]))
    wrapped.write_text(json.dumps(finished(wrappers[0], 4.0)))
    assert "grapefruit" in [d["term"] for d in read_records(str(notes))[0].sheet["descriptors"]]
    assert read_records(str(sheet), judge="Ada")[0].data["judge"] == "Ada"
    (record,) = read_records(str(wrapped))
    assert (record.status, record.data["tasted"], record.data["judge"]) == ("finished", "2025-05-05", "Ada Brandt")


def test_there_is_no_such_sheet(path):
    with Archive(path, create=True) as archive, pytest.raises(ArchiveError, match="no sheet 7"):
        archive.read(7)
