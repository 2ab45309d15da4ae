"""The invented fleet of the demo: its lives, its shops and their files, from one seed; the truth is known."""

from fleetstats.synthetic.demo import write_demo

__all__ = ["write_demo"]
