"""What crews and advisers read, in their language: one gettext catalogue (``<language>.po``) for each."""
