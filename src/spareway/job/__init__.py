"""The document: what a job holds, read and checked. No calculation."""
