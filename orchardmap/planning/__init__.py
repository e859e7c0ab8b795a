"""How fast crews are, when the season will be finished, who does what next, what it earns and costs. Pure."""
