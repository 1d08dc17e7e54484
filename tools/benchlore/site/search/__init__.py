"""The site's search: what is indexed, how text is split into words, and the compact index for the browser."""
