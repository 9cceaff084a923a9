"""The fixtures of the page's tests, from where mypy can see them."""

from support_page import browser, open_page, serve

__all__ = ["browser", "open_page", "serve"]
