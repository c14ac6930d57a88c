//! Every page, and every layer around them.

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::http::Uri;
use axum::middleware::{from_fn, from_fn_with_state};
use axum::response::{IntoResponse, Response};
use knockon_desk::Desk;
use tower_http::catch_panic::CatchPanicLayer;

use crate::app::App;
use crate::errors::{self, Fault};
use crate::security::{gate, headers, host, origin, site::Site, size, time};
use crate::serve::{Limits, Options};
use crate::{api, assets, pages};

/// The whole app over `desk`.
pub fn router(desk: Desk, options: &Options) -> Router {
    router_with(desk, options, Limits::default())
}

/// The whole app with other limits on time and number.
pub fn router_with(desk: Desk, options: &Options, limits: Limits) -> Router {
    let app = App::new(desk, Site::new(options.listen, options.reached_as.as_deref()), limits);
    let routes = Router::new()
        .merge(pages::routes())
        .merge(assets::routes())
        .merge(api::routes())
        .fallback(nothing_here)
        .method_not_allowed_fallback(async || errors::method_not_allowed());
    layered(routes, app)
}

/// The layers, innermost first: a request meets the last one first.
fn layered(routes: Router<App>, app: App) -> Router {
    routes
        .layer(from_fn_with_state(app.clone(), gate::pass))
        .layer(DefaultBodyLimit::disable())
        .layer(from_fn(size::check))
        .layer(from_fn_with_state(app.clone(), origin::check))
        .layer(from_fn_with_state(app.clone(), host::check))
        .layer(from_fn_with_state(app.clone(), time::limit))
        .layer(CatchPanicLayer::custom(panicked))
        .layer(from_fn(errors::render))
        .layer(from_fn(headers::set))
        .with_state(app)
}

async fn nothing_here(uri: Uri) -> Fault {
    Fault::not_found(if uri.path().starts_with("/api/") { "such thing in the API" } else { "page" })
}

/// A fault of ours in one request is the end of that request only.
// The layer hands it over by value.
#[allow(clippy::needless_pass_by_value)]
fn panicked(panic: Box<dyn std::any::Any + Send>) -> Response {
    let words =
        panic.downcast_ref::<&str>().copied().or_else(|| panic.downcast_ref::<String>().map(String::as_str));
    Fault::broken(&format!("a handler panicked: {}", words.unwrap_or("without words"))).into_response()
}

#[cfg(test)]
mod tests {
    use axum::body::{Body, to_bytes};
    use axum::http::{Request, StatusCode};
    use axum::routing::get;
    use tower::ServiceExt;

    use super::*;

    async fn falls() -> &'static str {
        panic!("a secret detail")
    }

    #[tokio::test]
    async fn a_panic_is_a_page_that_keeps_the_details_to_itself() {
        let folder = tempfile::tempdir().expect("a folder");
        let desk = Desk::open(&folder.path().join("workshop.db")).expect("a workshop");
        let app =
            App::new(desk, Site::new("127.0.0.1:8021".parse().expect("an address"), None), Limits::default());
        let router = layered(Router::new().route("/falls", get(falls)).route("/api/falls", get(falls)), app);
        for (path, kind) in
            [("/falls", "text/html; charset=utf-8"), ("/api/falls", "application/problem+json")]
        {
            let request =
                Request::get(path).header("host", "localhost:8021").body(Body::empty()).expect("a request");
            let response = router.clone().oneshot(request).await.expect("an answer");
            assert_eq!(response.status(), StatusCode::INTERNAL_SERVER_ERROR);
            assert_eq!(response.headers()["content-type"], kind);
            let bytes = to_bytes(response.into_body(), 1 << 20).await.expect("a body");
            let text = String::from_utf8_lossy(&bytes);
            assert!(text.contains("Something failed") && !text.contains("secret"), "{text}");
        }
    }
}
