"""The forms in which a sheet is handed on, one file a format: `render(sheet) -> str`."""
