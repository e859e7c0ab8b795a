"""Workbooks that spreadsheets open: the one home of xlsxwriter. Whatever is typed by people is text in them, never a formula."""
