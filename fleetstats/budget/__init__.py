"""What the coming quarters will need."""

from fleetstats.budget.next_year import NextYear

__all__ = ["NextYear"]
