"""Plan who sits, stands and carries what, so that a river party can help itself."""

__version__ = "0.1.0"
