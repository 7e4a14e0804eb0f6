"""Drawings of a top as a workshop draws them, to scale: SVG for paper and screen, DXF for templates;
pictures of wood.
"""
