"""Reading the course in a browser: the map, lessons as pages that are ready, labs that answer on them.

`server` is an extension of JupyterLab's own server. It shows notebooks and never writes them: what the reader
answered and the copies that may be written in are the reader's own (`desk`).
"""
