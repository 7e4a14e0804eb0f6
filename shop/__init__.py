"""The Django project: settings, urls, the task queue, and the launcher behind manage.py."""
