"""One module a topic. Routes translate between HTTP and use cases; they decide nothing."""
