"""Reading pack files: those that come with the program, and a department's own."""

from pathlib import Path

import pytest

from vouchbook.extract.packs.load import load_pack, load_pack_file, load_vocabulary
from vouchbook.models.errors import PackError

GOOD = 'name = "station_nine"\ntitle = "Station nine"\npart = [{ term = "orange thing", synonyms = ["hook box"] }]\n'


@pytest.mark.parametrize(
    ("content", "says"),
    [
        pytest.param(b"name = ", "not TOML", id="not-toml"),
        pytest.param(b"", "name: Field required", id="empty"),
        pytest.param('name = "h\u00e4user"'.encode("latin-1"), "not UTF-8 text", id="latin-1"),
        pytest.param(GOOD.encode() + b"[gadget]\n", "unknown key or kind 'gadget'", id="unknown-kind"),
        pytest.param(b"#" * 4_000_001, "too big for a vocabulary", id="too-big"),
        pytest.param(b"part = " + b"[" * 5000, "not TOML", id="lists-too-deep-in-each-other"),
        pytest.param(b"name = " + b"9" * 5000, "not TOML", id="number-too-long-for-python"),
        pytest.param(
            b"part = [{ term = 0x" + b"f" * 5000 + b" }]", "term: Input should be", id="number-too-long-to-print"
        ),
    ],
)
def test_a_file_that_is_no_pack_is_refused_in_one_line(tmp_path: Path, content: bytes, says: str) -> None:
    path = tmp_path / "ours.toml"
    path.write_bytes(content)
    with pytest.raises(PackError) as caught:
        load_pack_file(path)
    assert str(caught.value).startswith(f"{path}: ")
    assert says in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_missing_file_and_a_folder_are_refused(tmp_path: Path) -> None:
    with pytest.raises(PackError, match=r"none\.toml: cannot be read"):
        load_pack_file(tmp_path / "none.toml")
    with pytest.raises(PackError, match="cannot be read"):
        load_pack_file(tmp_path)


def test_an_unknown_name_answers_with_the_known_ones() -> None:
    with pytest.raises(PackError, match=r"boats: no pack of this name\. Use one of road_vehicles, building_energy"):
        load_pack("boats")


@pytest.mark.parametrize("mark", [pytest.param("", id="plain"), pytest.param("\ufeff", id="byte-order-mark")])
def test_a_departments_own_pack_stands_on_top(tmp_path: Path, mark: str) -> None:
    path = tmp_path / "ours.toml"
    path.write_text(mark + GOOD, encoding="utf-8")
    vocabulary = load_vocabulary(("road_vehicles",), (path,))
    assert vocabulary.packs == ("common", "road_vehicles", "station_nine")
    assert vocabulary.find("hook box")[0].entry.term == "orange thing"


def test_loading_is_the_same_every_time() -> None:
    assert load_vocabulary() == load_vocabulary()
    assert load_vocabulary().model_dump_json() == load_vocabulary().model_dump_json()
