"""Layers of the chart, one a module; `chart.registry` lists them."""
