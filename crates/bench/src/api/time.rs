//! Times as the API writes them.

use jiff::Timestamp;

/// RFC 3339 in UTC.
pub(super) fn written(at: Timestamp) -> String {
    at.to_string()
}
