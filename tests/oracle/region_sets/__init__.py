"""The regions that the fill-making steps are judged on, a module for each kind."""
