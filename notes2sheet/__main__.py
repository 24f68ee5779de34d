"""python -m notes2sheet"""

from notes2sheet.cli import main

main()
