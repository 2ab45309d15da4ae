"""fleetstats: from messy service records of absorption refrigerators to lives, misdiagnosis, decisions and budgets."""
