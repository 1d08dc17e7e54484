"""The site: pages made from the book, their drawings, and the plugin that puts them into MkDocs."""
