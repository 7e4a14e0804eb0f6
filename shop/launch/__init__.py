"""What ``manage.py start`` and ``manage.py test`` do before and around Django.

``venv`` and ``system`` use the standard library only: they run before anything is installed.
"""
