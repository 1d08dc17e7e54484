"""The page that keeps the store of pages opened from disk; see assets/js/store.js."""

from __future__ import annotations

from benchlore.site import paths
from benchlore.site.page import SiteFile

_HTML = """<!doctype html>
<html lang="en"><head><meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; script-src 'self'">
<title>Store of this site</title>
<script src="assets/js/hub.js"></script>
</head><body></body></html>
"""


def hub() -> SiteFile:
    """`hub.html`: no content, one script."""
    return SiteFile(paths.HUB, _HTML)
