"""The service: HTTP in front of orchardmap's use cases, and nothing that decides."""
