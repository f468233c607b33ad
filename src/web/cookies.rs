//! Cookies, as they come and as they are set.

use axum::http::{HeaderMap, HeaderValue, header};

/// The value of the cookie with this name.
pub(super) fn cookie<'a>(headers: &'a HeaderMap, name: &str) -> Option<&'a str> {
    headers
        .get_all(header::COOKIE)
        .iter()
        .filter_map(|value| value.to_str().ok())
        .flat_map(|line| line.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .find(|(n, v)| *n == name && !v.is_empty() && v.len() <= 64)
        .map(|(_, v)| v)
}

/// A cookie for this host only, kept from scripts and from other sites.
pub(super) fn set_cookie(name: &str, value: &str, seconds: i64, secure: bool) -> HeaderValue {
    let secure = if secure { "; Secure" } else { "" };
    let text = format!("{name}={value}; Path=/; Max-Age={seconds}; HttpOnly; SameSite=Lax{secure}");
    HeaderValue::from_str(&text).unwrap_or_else(|_| HeaderValue::from_static(""))
}

/// As [`set_cookie`], for a cookie that a page's own scripts may set as well: only for what is no secret.
pub(super) fn set_open_cookie(name: &str, value: &str, seconds: i64, secure: bool) -> HeaderValue {
    let secure = if secure { "; Secure" } else { "" };
    let text = format!("{name}={value}; Path=/; Max-Age={seconds}; SameSite=Lax{secure}");
    HeaderValue::from_str(&text).unwrap_or_else(|_| HeaderValue::from_static(""))
}
