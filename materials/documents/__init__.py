"""The prints of the shelf."""

SHEET_KIND = "count-sheet"
RESULT_KIND = "count-result"
BOOK_KIND = "stock-book"
BOOK_WITH_MONEY_KIND = "stock-book-money"
