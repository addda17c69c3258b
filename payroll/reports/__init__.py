"""Reports: frozen figures in, chart and paper out. Nothing here reads the database or the clock.

`figures` holds what a paper is made of, `numbers` how a figure is printed, `wording` the printed words, `sheet` the
page, `statement_pdf` and `weekly_pdf` the two papers. `charts` is the only module that imports matplotlib, and only the
worker imports `charts`.
"""
