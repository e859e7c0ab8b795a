"""Get an apple orchard pruned in one dormant season: true rows and trees, marks, checks, one map."""

__version__ = "0.1.0"
