use serde_json::Value;

use super::FetchError;
use super::address::{checked, short};
use crate::{FeedError, FeedId, json};

/// The address of the forecast grid cell in an answer of [`FeedId::NwsPoints`].
///
/// * `body`: that answer.
/// * `points_url`: the address that gave it. The cell must be at the same host, so that an answer cannot send the
///   client anywhere.
///
/// # Errors
///
/// The answer has no such address, or one at another host.
pub fn grid_address(body: &[u8], points_url: &str) -> Result<String, FetchError> {
    const KEY: &str = "properties.forecastGridData";
    let name = FeedId::NwsPoints.as_str();
    let answer = json::parse(&String::from_utf8_lossy(body), name).map_err(FetchError::BadBody)?;
    let grid = answer.get("properties").and_then(|properties| properties.get("forecastGridData"));
    let grid = grid.and_then(Value::as_str).ok_or_else(|| {
        let key = KEY.to_owned();
        FetchError::BadBody(FeedError::BadField { source_name: name.to_owned(), key, problem: "absent or no text" })
    })?;
    let (points, cell) = (checked(points_url)?, checked(grid)?);
    if points.scheme() != cell.scheme() || points.authority() != cell.authority() {
        return Err(FetchError::RedirectRefused { to: short(grid) });
    }
    Ok(grid.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    const POINTS: &str = "https://api.weather.gov/points/64.84,-147.72";

    #[test]
    fn the_cell_must_be_at_the_same_host() {
        let at = |grid: &str| {
            let body = format!(r#"{{"properties":{{"forecastGridData":"{grid}"}}}}"#);
            grid_address(body.as_bytes(), POINTS)
        };
        assert_eq!(
            at("https://api.weather.gov/gridpoints/AFG/1,2").unwrap(),
            "https://api.weather.gov/gridpoints/AFG/1,2"
        );
        for other in ["http://api.weather.gov/gridpoints/AFG/1,2", "https://example.org/gridpoints/AFG/1,2"] {
            assert!(matches!(at(other), Err(FetchError::RedirectRefused { .. })), "{other}");
        }
        assert!(matches!(grid_address(b"{}", POINTS), Err(FetchError::BadBody(FeedError::BadField { .. }))));
    }
}
