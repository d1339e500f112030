"""A field for a file, with a mend of its drop zone for screen readers."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st
from streamlit.runtime.uploaded_file_manager import UploadedFile

#: The drop zone is given out as mere presentation although it bears a name and can be reached; it is a group.
_MEND = """
export default function () {
  if (window.kUploads) return;
  const zone = '[data-testid="stFileUploaderDropzone"][role="presentation"]';
  const mend = () => document.querySelectorAll(zone).forEach((one) => one.setAttribute("role", "group"));
  window.kUploads = new MutationObserver(mend);
  const what = { subtree: true, childList: true, attributes: true, attributeFilter: ["role"] };
  window.kUploads.observe(document.body, what);
  mend();
}
"""


def uploader(label: str, types: Sequence[str], key: str, most_megabytes: int) -> UploadedFile | None:
    """A field for one file; what comes up is checked again by the library."""
    st.components.v2.component("mend_uploads", js=_MEND)(height=1, key=f"k-mend-{key}")
    return st.file_uploader(label, type=list(types), key=key, max_upload_size=most_megabytes)
