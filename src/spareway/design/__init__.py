"""Each quantity of a job worked out once, with its facts. No verdict."""
