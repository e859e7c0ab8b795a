"""Frozen values of the job: what an orchard, a mark, a check *is*. No calculation, no input or output."""
