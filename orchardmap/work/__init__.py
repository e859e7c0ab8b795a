"""What is pruned: coverage from the set of records. Pure: values in, values out."""
