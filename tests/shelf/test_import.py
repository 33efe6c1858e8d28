"""Own materials: brought from CSV all or none, laid over the catalogue, found by LEVIGATE_SHELF."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import tomli

from levigate.cli.options import open_shelf
from levigate.errors import FileError, LevigateError, ShelfError
from levigate.shelf.catalogue import Shelf, catalogue, load, with_defaults
from levigate.shelf.importing import COLUMNS, import_csv
from levigate.shelf.record import Material
from levigate.shelf.saving import save

GOOD = """\
name,inci,names,kind,form,affinity,density,usual,made_of,price,melting_point,cas
House gel,Cyclopentasiloxane (and) Dimethicone Crosspolymer,gel of the house | HG,silicone,gel,silicone,\
0.96 g/mL,5 to 80 %,cyclopentasiloxane 87 | dimethicone crosspolymer 13,38 EUR/kg,,
glycerine,,,,,,1.2595 g/mL,,,6.20 EUR/kg,,
"Rose wax, white",Rosa Damascena Flower Cera,,wax,wax,oil,,,,,55 to 60 C,
"""
SHELF = """\
# What stands on my shelf.

["my oil"]
inci = "Olea Europaea Fruit Oil"   # from the village
density = "0.913 g/mL"
"""


@pytest.fixture
def files(tmp_path: Path) -> tuple[Path, Path]:
    """Return a CSV file with three good rows, and a shelf with one material on it."""
    mine, shelf = tmp_path / "mine.csv", tmp_path / "shelf.toml"
    mine.write_text(GOOD, encoding="utf-8")
    shelf.write_text(SHELF, encoding="utf-8")
    return mine, shelf


class TestGood:
    def test_all_rows_are_brought(self, files: tuple[Path, Path]) -> None:
        mine, path = files
        assert import_csv(mine, path) == ["house gel", "glycerin", "rose wax, white"]
        shelf = open_shelf(path)
        gel = shelf["HG"]
        assert gel.inci == "Cyclopentasiloxane (and) Dimethicone Crosspolymer"
        assert (gel.kind, gel.form, gel.affinity, gel.price) == ("silicone", "gel", "silicone", "38 EUR/kg")
        assert gel.names == ("gel of the house", "hg")
        assert gel.density[0].si("density") == pytest.approx(960)
        assert (gel.density[0].grade, gel.density[0].source) == ("supplier", "own-word")
        assert gel.usual[0].si("share") == pytest.approx(0.425)
        assert gel.made_of is not None and sum(gel.made_of.parts.values()) == 100
        assert shelf["rose wax, white"].melting_point[0].low == "55 C"

    def test_what_the_catalogue_knows_is_added_to(self, files: tuple[Path, Path]) -> None:
        mine, path = files
        import_csv(mine, path)
        shelf = open_shelf(path)
        glycerin = shelf["glycerin"]
        assert glycerin == shelf["glycerine"] == shelf["56-81-5"]
        assert glycerin.price == "6.20 EUR/kg"
        assert glycerin.density[0].si("density") == pytest.approx(1259.5)
        assert glycerin.molar_mass == catalogue()["glycerin"].molar_mass
        assert glycerin.names == catalogue()["glycerin"].names
        assert catalogue()["glycerin"].price is None

    def test_what_was_on_the_shelf_stays_with_its_comments(self, files: tuple[Path, Path]) -> None:
        mine, path = files
        import_csv(mine, path)
        assert path.read_text(encoding="utf-8").startswith(SHELF)
        assert open_shelf(path)["my oil"].density[0].si("density") == pytest.approx(913)

    def test_the_shelf_is_made_with_its_folder(self, files: tuple[Path, Path], tmp_path: Path) -> None:
        path = tmp_path / "new" / "folder" / "shelf.toml"
        assert len(import_csv(files[0], path)) == 3
        assert set(load(path)) == {"house gel", "glycerin", "rose wax, white"}

    @pytest.mark.parametrize(
        "change",
        [
            lambda text: text.replace("\n", "\r\n"),
            lambda text: "\ufeff" + text,
            lambda text: text + "\n,,,,,,,,,,,\n\n",
            lambda text: text.replace("House gel", " House  gel "),
            lambda text: text.replace("name,inci", "Name , INCI"),
        ],
    )
    def test_as_a_spreadsheet_writes_it(self, files: tuple[Path, Path], change: Any) -> None:
        mine, path = files
        mine.write_bytes(change(GOOD).encode())
        assert import_csv(mine, path) == ["house gel", "glycerin", "rose wax, white"]

    def test_semicolons_and_a_short_row(self, files: tuple[Path, Path]) -> None:
        mine, path = files
        mine.write_text(
            "name;density;about\nBlue clay;2.5 g/mL;fine; soft\n".replace("fine; soft", '"fine; soft"') + "Sand\n"
        )
        assert import_csv(mine, path) == ["blue clay", "sand"]
        assert open_shelf(path)["blue clay"].about == "fine; soft"

    def test_a_text_of_two_lines_in_a_cell(self, files: tuple[Path, Path]) -> None:
        mine, path = files
        mine.write_text('name,about,density\nBlue clay,"fine,\nsoft",2.5 g/mL\nTea,,0 g/mL\n')
        with pytest.raises(ShelfError, match="row 4"):
            import_csv(mine, path)
        mine.write_text('name,about,density\nBlue clay,"fine,\nsoft",2.5 g/mL\n')
        import_csv(mine, path)
        assert open_shelf(path)["blue clay"].about == "fine,\nsoft"

    def test_replace(self, files: tuple[Path, Path]) -> None:
        mine, path = files
        import_csv(mine, path)
        mine.write_text("name,density\nMy oil,0.92 g/mL\nglycerin,1.25 g/mL\n")
        with pytest.raises(ShelfError, match='row 2: "my oil" is on the shelf already; --replace'):
            import_csv(mine, path)
        assert import_csv(mine, path, replace=True) == ["my oil", "glycerin"]
        shelf = open_shelf(path)
        assert shelf["my oil"].density[0].si("density") == pytest.approx(920)
        assert shelf["my oil"].inci == "my oil"  # the row takes the place of the whole table
        assert shelf["glycerine"].density[0].si("density") == pytest.approx(1250)
        assert shelf["glycerin"].price is None
        assert "house gel" in shelf

    def test_a_name_of_the_catalogue_under_another_is_the_same(self, files: tuple[Path, Path]) -> None:
        """The shelf has a table "glycerine"; a row "glycerin" is the same material, not a second one."""
        mine, path = files
        path.write_text('[glycerine]\nprice = "5 EUR/kg"\n')
        mine.write_text("name,price\nglycerin,7 EUR/kg\n")
        with pytest.raises(ShelfError, match="on the shelf already"):
            import_csv(mine, path)
        import_csv(mine, path, replace=True)
        assert list(load(path)) == ["glycerine"]
        assert open_shelf(path)["glycerin"].price == "7 EUR/kg"


#: What is wrong -> the CSV text, words of the message.
BAD = {
    "empty": ("", 'has no column "name"; its first row must name the columns'),
    "no name column": ("inci,density\nAqua,1 g/mL\n", 'has no column "name"'),
    "no rows": ("name,density\n", "no material below it"),
    "a misspelt column": ("name,densty\nx,1 g/mL\n", 'the column "densty" is not known; did you mean "density"'),
    "a strange column": ("name,moon\nx,full\n", 'the column "moon" is not known; known are name, inci'),
    "an unnamed column": ("name,\nx,1\n", 'the column "" is not known'),
    "a column twice": ("name,density,density\nx,1 g/mL,2 g/mL\n", 'the column "density" stands twice'),
    "a row without a name": (GOOD + ",x,,,,,1 g/mL,,,,,\n", "row 5: a material needs a name"),
    "a name of dashes": ("name\n---\n", "row 2: a material needs a name"),
    "a name twice": (GOOD + "HOUSE  GEL,,,,,,,,,,,\n", 'row 5: "house gel" stands twice'),
    "a material under two names": (GOOD + "Glycerin,,,,,,,,,,,\n", 'row 5: "glycerin" stands twice'),
    "a decimal comma": ("name,density\nBlue clay,2,5 g/mL\n", "row 2: 3 cells stand under 2 columns; .* decimal point"),
    "a decimal comma in quotes": ('name,density\nBlue clay,"2,5 g/mL"\n', 'row 2, "blue clay": .* as in "2.5 g/mL"'),
    "no unit": ("name,density\ntea,1 g/mL\nBlue clay,2.5\n", 'row 3, "blue clay": density: "2.5" has no unit'),
    "another unit": ("name,density\nBlue clay,2.5 mL\n", "row 2, .* is a volume, but a density is needed"),
    "an unknown unit": ("name,density\nBlue clay,2.5 blobs/g\n", "row 2, "),
    "a density of nothing": ("name,density\nBlue clay,0 g/mL\n", "row 2, .* is not above nought"),
    "a range the wrong kind": ("name,usual\nBlue clay,1 to 5 g\n", "row 2, .* is a mass, but a share is needed"),
    "a kind that is none": ("name,kind\nBlue clay,clay\n", 'row 2, "blue clay": kind "clay" is none of solvent'),
    "parts that do not add up": ("name,made_of\ntea,aqua 50 | glycerin 40\n", "row 2, .* the parts add up to 90"),
    "a part without a number": ("name,made_of\ntea,aqua | glycerin 40\n", 'row 2: "aqua" is no part; write "aqua 40'),
    "a part of nan": ("name,made_of\ntea,aqua nan\n", "row 2, .* part needs|row 2, .* finite"),
    "a part twice": ("name,made_of\ntea,aqua 50 | glycerin 40 | aqua 10\n", "row 2: a part stands twice"),
    "quotes left open": ('name,about\ntea,"fine\n', "this is not CSV"),
    "quotes left open on top": ('name,"about\ntea,fine\n', "this is not CSV|is not known"),
    "a cell of 200 kB": (f"name,about\ntea,{'x' * 200_000}\n", "row 2: this is not CSV"),
}


@pytest.mark.parametrize("what", BAD)
def test_one_bad_row_and_none_is_brought(what: str, files: tuple[Path, Path], tmp_path: Path) -> None:
    mine, path = files
    text, said = BAD[what]
    mine.write_text(text, encoding="utf-8")
    for shelf in (path, tmp_path / "new.toml"):
        with pytest.raises(LevigateError, match=said) as trouble:
            import_csv(mine, shelf)
        message = str(trouble.value)
        assert message.startswith(str(mine)) and message[-1] in ".?" and "\n" not in message
    assert path.read_text(encoding="utf-8") == SHELF
    assert sorted(tmp_path.iterdir()) == [mine, path]


def test_files_that_cannot_be_read_or_written(files: tuple[Path, Path], tmp_path: Path) -> None:
    mine, path = files
    with pytest.raises(FileError, match="cannot be read: no such file"):
        import_csv(tmp_path / "none.csv", path)
    with pytest.raises(FileError, match="cannot be read as a shelf: not a directory"):
        import_csv(mine, mine / "shelf.toml")
    with pytest.raises(FileError, match="cannot be written: not a directory"):
        save(mine / "shelf.toml", "")
    path.write_text("[broken\n")
    with pytest.raises(FileError, match="cannot be read as a shelf"):
        import_csv(mine, path)
    path.write_bytes(b"\xff\xfe\x00")
    with pytest.raises(FileError, match="cannot be read as a shelf"):
        import_csv(mine, path)
    mine.write_bytes("name,about\nté,x\n".encode("latin-1"))
    with pytest.raises(FileError, match="not UTF-8 text"):
        import_csv(mine, path)
    assert sorted(tmp_path.iterdir()) == [mine, path]


def test_a_column_for_every_value_of_a_record() -> None:
    """What a CSV cannot say is said here: lists with a text and a law each, and what only the catalogue keeps."""
    cannot = {"does", "solubility", "limits", "cautions", "fatty_acids", "flow"}
    assert set(COLUMNS) - {"name"} == set(Material.model_fields) - cannot


class TestLaidOverTheCatalogue:
    def test_a_table_adds_to_the_material_of_that_name(self) -> None:
        shelf = own({"squalane": {"price": "40 EUR/kg"}})
        assert shelf["squalane"].price == "40 EUR/kg"
        assert shelf["squalane"].density == catalogue()["squalane"].density

    @pytest.mark.parametrize("name", ["water", "Water", "AQUA", "7732-18-5"])
    def test_by_whatever_name_it_is_the_same_material(self, name: str) -> None:
        """Water must stay water, or a price for it would leave a formula unpreserved unseen."""
        shelf = own({name: {"price": "1 EUR/kg"}})
        assert shelf.key("aqua") == shelf.key("water") == shelf.key(name) == "aqua"
        assert shelf["aqua"].price == "1 EUR/kg"
        assert len(shelf) == len(catalogue())

    def test_an_inci_name_does_not_take_a_name_away(self) -> None:
        shelf = own({"my gel": {"inci": "Aqua", "cas": "7732-18-5", "names": ["glycerin", "gel"]}})
        assert shelf.key("aqua") == "aqua"
        assert shelf.key("7732-18-5") == "my gel"  # a number is as strong here as there: one's own goes first
        assert shelf.key("glycerin") == "glycerin"
        assert shelf.key("gel") == "my gel"

    def test_a_short_name_with_another_inci_is_another_material(self) -> None:
        """In the catalogue, tea is short for triethanolamine."""
        assert catalogue().key("tea") == "triethanolamine"
        assert own({"tea": {"price": "9 EUR/kg"}}).key("tea") == "triethanolamine"
        shelf = own({"tea": {"inci": "Camellia Sinensis Leaf Water", "density": "1 g/mL"}})
        assert shelf.key("tea") == shelf.key("TEA") == "tea"
        assert shelf["tea"].pka == () and shelf["tea"].density[0].si("density") == pytest.approx(1000)
        assert shelf["triethanolamine"] == catalogue()["triethanolamine"]
        assert own({"sles": {"inci": "Sodium Laureth Sulfate"}}).key("sles") == catalogue().key("sles")

    def test_a_row_with_another_inci_is_another_material(self, files: tuple[Path, Path]) -> None:
        mine, path = files
        mine.write_text("name,inci,density\nTea,Camellia Sinensis Leaf Water,1 g/mL\n")
        assert import_csv(mine, path) == ["tea"]
        assert open_shelf(path)["tea"].inci == "Camellia Sinensis Leaf Water"
        mine.write_text("name,density\nTea,1.12 g/mL\n")
        assert import_csv(mine, path) == ["triethanolamine"]

    def test_names_add_to_names(self) -> None:
        shelf = own({"glycerin": {"names": ["sweet stuff"]}})
        assert shelf.key("sweet stuff") == shelf.key("glycerine") == "glycerin"
        assert set(shelf["glycerin"].names) == {"sweet stuff", *catalogue()["glycerin"].names}

    def test_two_tables_for_one_material_are_refused(self) -> None:
        with pytest.raises(ShelfError, match='"water" and "aqua" both stand for "aqua" of the catalogue'):
            own({"water": {}, "aqua": {}})

    def test_three_shelves(self) -> None:
        mine = own({"glycerin": {"price": "6 EUR/kg"}, "house gel": with_defaults("house gel", {"density": "1 g/mL"})})
        file = Shelf({"Glycerine": {"density": "1.2 g/mL"}, "house gel": {"price": "9 EUR/kg"}}, origin="own-word",
                     below=mine)  # fmt: skip
        assert file["glycerin"].price == "6 EUR/kg"
        assert file["glycerin"].density[0].si("density") == pytest.approx(1200)
        assert file["house gel"].density[0].si("density") == pytest.approx(1000)
        assert file["house gel"].price == "9 EUR/kg"
        assert mine["glycerin"].density == catalogue()["glycerin"].density
        assert list(file.own()) == ["glycerin", "house gel"]

    @pytest.mark.parametrize(
        ("table", "said"),
        [
            ({"densty": "1 g/mL"}, 'did you mean "density"'),
            ({"density": True}, "has no unit|neither"),
            ({"usual": {"low": 1e308, "high": "50 %"}}, "usual: .* no share of the whole"),
            ({"usual": {"low": "5 %", "high": "1 %"}}, "usual: .* begins above its end"),
            ({"names": 5}, "no list in brackets"),
            ({"cas": {"x": 1}}, "cas"),
            ({"kind": "oill"}, "is none of"),
            ({"made_of": {}}, "each part needs a percent"),
            ({"made_of": {"aqua": 50}}, "add up to 50"),
            ({"limits": [{"percent": 5}]}, "is missing"),
        ],
    )
    def test_a_record_that_is_not_right_is_told(self, table: dict[str, Any], said: str) -> None:
        shelf = own({"x": with_defaults("x", table)})
        with pytest.raises(LevigateError, match=said):
            _ = shelf["x"]


def own(raw: dict[str, dict[str, Any]]) -> Shelf:
    known = catalogue()
    tables = {key: table if key in known else with_defaults(key, table) for key, table in raw.items()}
    return Shelf(tables, origin="own-word", below=known)


class TestTheShelfOfAPerson:
    def test_levigate_shelf_says_where_it_is(self, files: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setenv("LEVIGATE_SHELF", str(files[1]))
        assert "my oil" in open_shelf(None)
        monkeypatch.setenv("LEVIGATE_SHELF", str(files[1].with_name("none.toml")))
        assert open_shelf(None) is catalogue()

    def test_a_shelf_that_was_named_must_be_there(self, tmp_path: Path) -> None:
        with pytest.raises(ShelfError, match="does not exist"):
            open_shelf(tmp_path / "none.toml")

    @pytest.mark.parametrize("content", [b"[broken", b"\xff", b"x = 5\n"])
    def test_a_shelf_that_is_none_is_told(self, content: bytes, tmp_path: Path) -> None:
        path = tmp_path / "shelf.toml"
        path.write_bytes(content)
        with pytest.raises(ShelfError) as trouble:
            open_shelf(path)
        assert str(path) in str(trouble.value)

    def test_through_the_command(self, files: tuple[Path, Path], tmp_path: Path) -> None:
        """Import onto the shelf that LEVIGATE_SHELF names, then find what was imported."""
        path = tmp_path / "own.toml"

        def command(*words: str) -> subprocess.CompletedProcess[str]:
            return subprocess.run(
                [sys.executable, "-W", "error", "-m", "levigate", "shelf", *words],
                env={**os.environ, "LEVIGATE_SHELF": str(path)},
                capture_output=True, text=True, encoding="utf-8", timeout=60, check=False,
            )  # fmt: skip

        done = command("import", str(files[0]), "--json")
        assert done.returncode == 0, done.stderr
        assert json.loads(done.stdout)["materials"] == ["house gel", "glycerin", "rose wax, white"]
        assert tomli.loads(path.read_text())["glycerin"]["price"] == "6.20 EUR/kg"
        assert json.loads(command("find", "gel of the huose", "--json").stdout)[0]["key"] == "house gel"
        before = path.read_bytes()
        again = command("import", str(files[0]))
        assert (again.returncode, again.stdout) == (2, "") and "is on the shelf already" in again.stderr
        assert path.read_bytes() == before
