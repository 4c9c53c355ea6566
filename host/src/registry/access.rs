//! What a registry is told when it wants to know who asks.

use super::connection::Connection;
use super::trouble::{self, Trouble};
use ureq::http::{HeaderMap, StatusCode};

/// The largest answer of a token service, in bytes.
const LARGEST_TOKEN: u64 = 256 << 10;

/// The header `Authorization` that answers the challenge in `headers`: the password itself, or a token
/// that the registry's token service gives, also to those who have no password.
///
/// Sources: RFC 9110, section 11.6.1; the registries' "token authentication specification".
pub(super) fn answer(
    connection: &Connection<'_>,
    headers: &HeaderMap,
    scope: &str,
) -> Result<String, Trouble> {
    let host = &connection.host;
    let challenges: Vec<_> = headers
        .get_all("www-authenticate")
        .iter()
        .filter_map(|value| http_auth::parse_challenges(value.to_str().ok()?).ok())
        .flatten()
        .collect();
    let of = |scheme: &str| {
        challenges
            .iter()
            .find(|challenge| challenge.scheme.eq_ignore_ascii_case(scheme))
    };
    if let Some(bearer) = of("bearer") {
        let param = |wanted: &str| {
            let mut params = bearer.params.iter();
            params
                .find(|(name, _)| name.eq_ignore_ascii_case(wanted))
                .map(|(_, value)| value.to_unescaped())
        };
        let realm = param("realm")
            .ok_or_else(|| trouble::not_spoken(host, "it wants a token, but does not say whose"))?;
        let scope = param("scope").unwrap_or_else(|| scope.to_owned());
        return token(connection, &realm, param("service").as_deref(), &scope);
    }
    if of("basic").is_none() {
        let what = "it wants to know who asks, in a way that is not known here";
        return Err(trouble::not_spoken(host, what).into());
    }
    match &connection.credentials {
        Some(credentials) => Ok(credentials.basic()),
        None => Err(trouble::refused(host, "it wants to know who asks")),
    }
}

fn token(
    connection: &Connection<'_>,
    realm: &str,
    service: Option<&str>,
    scope: &str,
) -> Result<String, Trouble> {
    let host = &connection.host;
    connection.may_send_to(realm)?;
    let mut request = connection.agent.get(realm).query("scope", scope);
    if let Some(service) = service {
        request = request.query("service", service);
    }
    if let Some(credentials) = &connection.credentials {
        request = request.header("authorization", credentials.basic());
    }
    let response = request
        .call()
        .map_err(|error| trouble::of_error(host, error))?;
    match response.status() {
        StatusCode::OK => {}
        StatusCode::UNAUTHORIZED | StatusCode::FORBIDDEN => {
            let why = match connection.credentials {
                Some(_) => "it does not accept this user and password for that",
                None => "it wants to know who asks",
            };
            return Err(trouble::refused(host, why));
        }
        status => return Err(trouble::of_status(host, status, response.headers())),
    }
    let text = connection.body(response, LARGEST_TOKEN)?;
    let answer: serde_json::Value = serde_json::from_slice(&text).unwrap_or_default();
    let token = ["token", "access_token"]
        .iter()
        .find_map(|name| answer.get(name)?.as_str())
        .filter(|token| !token.is_empty() && token.bytes().all(|c| c.is_ascii_graphic()));
    match token {
        Some(token) => Ok(format!("Bearer {token}")),
        None => Err(trouble::not_spoken(host, "its token service gives no token").into()),
    }
}
