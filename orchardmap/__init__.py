"""Get an apple orchard pruned in one dormant season: true rows and trees, marks, checks, one map."""
