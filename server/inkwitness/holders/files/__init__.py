"""Lists as files: tables, delimited text and workbooks, in and out."""
