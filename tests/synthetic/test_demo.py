"""Writing a demo folder of another size or seed."""

import json

import pytest

from fleetstats.errors import InputRefused
from fleetstats.synthetic import write_demo


def raw_bytes(folder):
    """The bytes of every text file of raw/."""
    return {path.name: path.read_bytes() for path in (folder / "raw").iterdir() if path.suffix != ".xlsx"}


def test_small_fleets(tmp_path):
    """Forty vehicles: the same seed gives the same bytes, another seed others; the register has no more than forty lines."""
    for name, seed in (("one", 5), ("same", 5), ("other", 6)):
        write_demo(tmp_path / name, seed=seed, vehicles=40)
    one, same, other = (raw_bytes(tmp_path / name) for name in ("one", "same", "other"))
    assert one == same
    assert one["harbour_orders.csv"] != other["harbour_orders.csv"]
    assert 20 < one["vehicle_register.csv"].count(b"\r\n") - 1 <= 40
    assert json.loads((tmp_path / "one" / "truth.json").read_text("utf-8"))["seed"] == 5


def test_workbooks_are_the_same_bytes(tmp_path):
    """A workbook carries no clock: written twice it is the same to the byte."""
    for name in ("one", "two"):
        write_demo(tmp_path / name, seed=8, vehicles=40)
    assert (tmp_path / "one/raw/millpond_jobs.xlsx").read_bytes() == (tmp_path / "two/raw/millpond_jobs.xlsx").read_bytes()


@pytest.mark.parametrize("seed", range(1, 5))
def test_no_seed_breaks_a_tiny_fleet(tmp_path, seed):
    """Ten vehicles may leave a shop without a line: the files are written all the same."""
    write_demo(tmp_path, seed=seed, vehicles=10)
    assert (tmp_path / "raw" / "shops.csv").read_bytes().count(b"\r\n") == 10


def test_too_small_is_refused(tmp_path):
    """Fewer than ten vehicles: refused with a remedy, nothing written."""
    with pytest.raises(InputRefused, match="10 vehicles"):
        write_demo(tmp_path / "x", vehicles=3)
    assert not (tmp_path / "x").exists()
