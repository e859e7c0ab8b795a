"""What is printed, and the few pages that need no script: labels, codes, the page for trusting a farm's certificates."""
