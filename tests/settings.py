"""Settings of a test run: the real ones over an empty folder, whatever the shell had set."""

import os
import tempfile
from pathlib import Path

for name in [name for name in os.environ if name.startswith("SHOP_")]:
    if not name.startswith(("SHOP_TEST_", "SHOP_BENCHMARKS")):
        del os.environ[name]
FOLDER = tempfile.TemporaryDirectory(prefix="shop-test-")
os.environ["SHOP_DATA_DIR"] = FOLDER.name
os.environ["SHOP_TIME_ZONE"] = "UTC"
if "SHOP_TEST_DATABASE_URL" in os.environ:
    os.environ["SHOP_DATABASE_URL"] = os.environ["SHOP_TEST_DATABASE_URL"]

umask = os.umask(0o022)
from shop.settings import *  # noqa: E402, F403
from shop.settings import DATABASES  # noqa: E402

os.umask(umask)  # the PostgreSQL server may run as another user

if DATABASES["default"]["ENGINE"].endswith("sqlite3"):  # a file: threads and processes share it
    DATABASES["default"]["TEST"] = {"NAME": str(Path(FOLDER.name) / "test.sqlite3")}
    # tests need not survive a power cut
    pragmas = DATABASES["default"]["OPTIONS"]["init_command"]
    DATABASES["default"]["OPTIONS"]["init_command"] = pragmas.replace("synchronous=FULL", "synchronous=OFF")
DATABASES["default"]["CONN_MAX_AGE"] = 0
CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
