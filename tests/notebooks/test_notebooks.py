"""The notebooks: executed on a copy of the demo, thin, and without stored output."""

import json
import re
import sys
from pathlib import Path

import nbformat
import pytest
from ipykernel.kernelspec import write_kernel_spec
from nbclient import NotebookClient

import fleetstats
from tests.demo import copy_of, imported_demo

FOLDER = Path(__file__).parents[2] / "notebooks"
NOTEBOOKS = sorted(FOLDER.glob("*.ipynb"))


def test_the_notebooks_are_there():
    """One for each question a user has."""
    assert [path.stem for path in NOTEBOOKS] == ["import_and_quality", "tour", "your_own_data"]


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_a_notebook_is_thin_and_holds_no_output(path):
    """Words first, a cell tagged parameters, at most 15 lines of code per cell, 'Try this' at the end, nothing executed in the file."""
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    code = [cell for cell in cells if cell["cell_type"] == "code"]
    assert cells[0]["cell_type"] == "markdown"
    assert "parameters" in code[0]["metadata"]["tags"]
    assert all(len("".join(cell["source"]).splitlines()) <= 15 for cell in code)
    assert all(cell["outputs"] == [] and cell["execution_count"] is None for cell in code)
    assert any("Try this" in "".join(cell["source"]) for cell in cells[-2:])


def test_the_answers_in_words_lie_within_the_intervals(demo_project):
    """The figures of the tour's first cell are those of the package: each inside its interval."""
    words = "".join(json.loads((FOLDER / "tour.ipynb").read_text(encoding="utf-8"))["cells"][0]["source"])
    result = fleetstats.analyse(demo_project)
    said = {
        r"failed by about ([\d.]+) years": result.lives.population("new", "corrected").b10_years,
        r"would look like ([\d.]+)\.": result.lives.population("new", "as_recorded").b10_years,
        r"About (\d+) units will truly fail": result.next_year.total_failures,
    }
    for pattern, estimate in said.items():
        assert estimate.lower <= float(re.search(pattern, words)[1]) <= estimate.upper
    share = result.audit.needless_share.corrected
    assert share.lower <= float(re.search(r"About (\d+) %", words)[1]) / 100 <= share.upper


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_a_notebook_runs_on_a_copy_of_the_demo(path, tmp_path, monkeypatch):
    """Every cell runs in the interpreter of the tests, from top to bottom, and every code cell that ends in a result shows it."""
    folder = copy_of(imported_demo(), tmp_path / "demo")
    notebook = nbformat.read(path, as_version=4)
    first = next(cell for cell in notebook.cells if "parameters" in cell.metadata.get("tags", []))
    first.source += f"\nproject_folder = {str(folder)!r}"
    write_kernel_spec(tmp_path / "kernels" / "here")
    monkeypatch.setenv("JUPYTER_PATH", str(tmp_path))
    assert json.loads((tmp_path / "kernels" / "here" / "kernel.json").read_text())["argv"][0] == sys.executable
    NotebookClient(notebook, kernel_name="here", timeout=300, resources={"metadata": {"path": str(FOLDER.parent)}}).execute()
    shown = [cell for cell in notebook.cells if cell.cell_type == "code" and cell.outputs]
    assert len(shown) >= 8
    drawn = [output for cell in shown for output in cell.outputs if "image/png" in output.get("data", {})]
    assert len(drawn) == sum("fs.figures." in cell.source for cell in notebook.cells if cell.cell_type == "code") >= 1
    assert (folder / "out" / "quarterly_2025-Q4.html").is_file() == (path.stem == "tour")
