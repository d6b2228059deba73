"""Importing this sets Django up: the first import of every module that a server starts from."""

import os

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "paddock.settings")
django.setup()
