//! With accounts: who may do what through the API.

use axum::body::Body;
use axum::http::Request;
use axum::http::header::{CONTENT_TYPE, COOKIE};
use knockon_desk::{Role, Stamp};

use crate::bench::{Bench, Reply};
use crate::document::{is_problem, operations, prefix};

const PASSWORD: &str = "four words in a row";

async fn as_visitor(bench: &Bench, method: &str, path: &str, token: Option<&str>) -> Reply {
    let mut request = Request::builder().method(method).uri(path).header(CONTENT_TYPE, "application/json");
    if let Some(token) = token {
        request = request.header(COOKIE, format!("knockon={token}"));
    }
    bench.send(request.body(Body::empty()).expect("a request")).await
}

#[tokio::test]
async fn nothing_without_an_account_and_no_change_with_one_that_reads() {
    let bench = Bench::demo();
    let stamp = Stamp::now("test");
    bench.desk.add_account("reader", PASSWORD, Role::Read, &stamp).expect("an account");
    let reader = bench.desk.log_in("reader", PASSWORD, stamp.at).expect("the desk").expect("a session");
    let mut changing = 0;
    for (name, operation) in operations() {
        let path =
            operation.template.replace("{id}", "1").replace("{version}", "1").replace("{revision}", "1");
        let path = format!("{}{}", prefix(), path.replace("{code}", "aaaaaaaa").replace("{format}", "html"));
        let method = operation.method.as_str();
        let reply = as_visitor(&bench, method, &path, None).await;
        is_problem(&reply, 401, "log-in", &path);
        let reply = as_visitor(&bench, method, &path, Some("not-a-session")).await;
        is_problem(&reply, 401, "log-in", &path);
        let reply = as_visitor(&bench, method, &path, Some(&reader)).await;
        // An answer that is not kept changes nothing.
        let keeps_nothing = ["/answers", "/judgements", "/options"].iter().any(|end| path.ends_with(end));
        if method == "GET" || keeps_nothing {
            assert_ne!(reply.status.as_u16() / 100, 5, "{name}");
            assert!(![401, 403].contains(&reply.status.as_u16()), "{name}: {}", reply.status);
        } else {
            is_problem(&reply, 403, "refused", &path);
            changing += 1;
        }
    }
    assert!(changing >= 12, "{changing} operations change something");
}
