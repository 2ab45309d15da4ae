"""The notebooks: executed on a copy of the demo, thin, and without stored output."""

import json
import sys
from pathlib import Path

import nbformat
import pytest
from ipykernel.kernelspec import write_kernel_spec
from nbclient import NotebookClient

from tests.demo import copy_of, imported_demo

FOLDER = Path(__file__).parents[2] / "notebooks"
NOTEBOOKS = sorted(FOLDER.glob("*.ipynb"))


def test_there_is_a_tour():
    """The tour is shipped."""
    assert [path.name for path in NOTEBOOKS] == ["tour.ipynb"]


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
    assert (folder / "out" / "quarterly_2025-Q4.html").is_file()
