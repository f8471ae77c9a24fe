"""Static files with their fingerprint in the name, once `collectstatic` has collected them.

One storage before and after: what collects must write the list of fingerprints that pages look
names up in, also the first time, when there is neither folder nor list.
"""

from django.contrib.staticfiles.storage import StaticFilesStorage
from whitenoise.storage import CompressedManifestStaticFilesStorage


class CollectedFiles(CompressedManifestStaticFilesStorage):
    def url(self, name: str | None, force: bool = False) -> str:
        if self.hashed_files or force:
            return str(super().url(name, force))
        # Nothing was collected: names as they stand in the applications, which serve them.
        return StaticFilesStorage.url(self, name)
