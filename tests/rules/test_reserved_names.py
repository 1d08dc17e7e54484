"""The names that the site keeps for itself are those that it uses."""

from pathlib import Path

from benchlore.book import load_book
from benchlore.rules.ids import SITE_FOLDERS
from benchlore.site.pages import all_pages

ROOT = Path(__file__).parents[2]


def test_every_folder_of_the_site_is_reserved():
    book = load_book(ROOT).book
    pages, files = all_pages(book)
    made = [*(page.path for page in pages), *(file.path for file in files)]
    made += [path for page in pages for path in (page.data_path, page.source_path) if path]
    folders = {path.split("/")[0] for path in made if "/" in path}
    assert folders - set(book.families) <= SITE_FOLDERS
