"""Start-up: `import fleetstats` and `fleetstats --help` against a bare interpreter, by turns in one run.

Run: python tests/benchmarks/bench_startup.py
"""

import subprocess
import sys

from harness import paired_ratio, report


def _run(code: str):
    return lambda: subprocess.run([sys.executable, "-c", code], check=True, stdout=subprocess.DEVNULL)


BARE = _run("pass")
HELP = "import sys; sys.argv = ['fleetstats', '--help']; from fleetstats.cli import main; main()"

if __name__ == "__main__":
    report("import fleetstats / bare interpreter", paired_ratio(_run("import fleetstats"), BARE, rounds=25), 1.5)
    report("fleetstats --help / bare interpreter", paired_ratio(_run(HELP), BARE, rounds=25), 6.0)
