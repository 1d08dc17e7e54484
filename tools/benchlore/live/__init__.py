"""The site while somebody writes in the book: built anew after each save, shown at once, with what is wrong.

Two processes: `builder` watches and builds; `server` hands out the site to this computer and tells the open
pages; `run` holds both. What the pages need for it is put in while they are handed out, so that the site on
disk has nothing of it.
"""
