import json
from pathlib import Path

import pytest

from fleetstats.synthetic.demo import project_source
from fleetstats.synthetic.draws import Stream
from fleetstats.synthetic.lives import simulate
from fleetstats.synthetic.scenario import read_scenario


@pytest.fixture(scope="session")
def shipped():
    return project_source()


@pytest.fixture(scope="session")
def truth(shipped):
    return json.loads((shipped / "truth.json").read_text(encoding="utf-8"))


@pytest.fixture(scope="session")
def scenario(shipped):
    return read_scenario(Path(shipped) / "scenario.toml")


@pytest.fixture(scope="session")
def world(scenario):
    return simulate(scenario, Stream(7), 400)
