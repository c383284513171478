"""An offline caller for clock-reading lessons in a gym hall."""

__version__ = "0.1.0"
