"""One short function for each thing people do: gather from the store, decide in the core, apply."""
