//! The description of the API after OpenAPI 3.1, generated from the handlers and types.

use std::sync::LazyLock;

use axum::http::header::CONTENT_TYPE;
use axum::response::IntoResponse;
use utoipa::openapi::path::{Operation, PathItem};
use utoipa::openapi::security::{ApiKey, ApiKeyValue, SecurityRequirement, SecurityScheme};
use utoipa::openapi::tag::TagBuilder;
use utoipa::openapi::{
    ContentBuilder, InfoBuilder, LicenseBuilder, OpenApi, OpenApiBuilder, Ref, RefOr, ResponseBuilder,
    Server, Tag,
};
use utoipa::{PartialSchema, ToSchema};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use super::problem::{Place, Problem};
use crate::app::App;

/// Where the API lies.
pub(super) const PREFIX: &str = "/api/v1";

/// Each noun, and what its operations are about.
const TAGS: &[(&str, &str)] = &[
    ("questions", "What came in, and the drafts of answers."),
    ("answers", "What changes do to a bike: the object that `knockon what-if … --json` prints."),
    (
        "options",
        "From a wanted result to the parts that give it: the object that `knockon reach-for … --json` prints.",
    ),
    ("photos", "Photos of a question."),
    ("inspections", "Inspections of parts by protocol."),
    ("bikes", "Bike records and their history."),
    ("sheets", "Published answers."),
    ("settings", "Settings of the workshop."),
    ("changes", "The change language."),
    ("quantities", "What the figures mean."),
    ("health", "The bench itself."),
];

const ABOUT: &str = "What the pages of the bench do, for programs. Lengths are in millimetres, angles in degrees; times \
are in UTC. Lists come in pages of `limit` rows from `offset` on.\n\n\
**Versions.** A question and a bike have a `version`. An edit sends the version that it was made from; when somebody \
saved a newer one in between, the answer is 409 and nothing is lost: read again, edit again.\n\n\
**Errors** are problem details after RFC 9457 with the members `help` and, for faults in a text, `problems` with line and \
column.\n\n\
**Requests that change something** come with the header `Content-Type: application/json`, also those without a body, so \
that no page of another site can send them.\n\n\
**Accounts.** Where the workshop has accounts, every request needs the cookie that `POST /log-in` sets (a form with `name` \
and `password`, and the header `Origin` with the bench's own address).";

pub(super) fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new().routes(routes!(own_description))
}

/// This description
#[utoipa::path(get, path = "/openapi.json", tag = "health",
    responses((status = 200, description = "OpenAPI 3.1.", content_type = "application/json", body = Object)))]
async fn own_description() -> impl IntoResponse {
    static WRITTEN: LazyLock<String> = LazyLock::new(description);
    ([(CONTENT_TYPE, "application/json")], WRITTEN.as_str())
}

/// The description as JSON, the same bytes each time.
pub fn description() -> String {
    let description = openapi().to_pretty_json();
    let mut text =
        description.unwrap_or_else(|error| unreachable!("a description is JSON, as tests see: {error}"));
    text.push('\n');
    text
}

/// The description of every operation under `/api/v1`.
pub fn openapi() -> OpenApi {
    let (_, generated) = super::described().split_for_parts();
    let mut paths = generated.paths.clone();
    for item in paths.paths.values_mut() {
        operations(item).for_each(complete);
    }
    let mut components = generated.components.clone().unwrap_or_default();
    components.schemas.insert(Problem::name().into_owned(), Problem::schema());
    components.schemas.insert("ProblemPlace".to_owned(), Place::schema());
    components
        .add_security_scheme("session", SecurityScheme::ApiKey(ApiKey::Cookie(ApiKeyValue::new("knockon"))));
    OpenApiBuilder::new()
        .info(
            InfoBuilder::new()
                .title("Knockon")
                .version(env!("CARGO_PKG_VERSION"))
                .description(Some(ABOUT))
                .license(Some(
                    LicenseBuilder::new()
                        .name("MIT or Apache-2.0")
                        .identifier(Some("MIT OR Apache-2.0"))
                        .build(),
                ))
                .build(),
        )
        .servers(Some([Server::new(PREFIX)]))
        .tags(Some(TAGS.iter().map(|(name, about)| tag(name, about))))
        .paths(paths)
        .components(Some(components))
        // With the cookie where there are accounts, without anything where there are none.
        .security(Some([
            SecurityRequirement::new::<_, [&str; 0], &str>("session", []),
            SecurityRequirement::default(),
        ]))
        .build()
}

fn tag(name: &str, about: &str) -> Tag {
    TagBuilder::new().name(name).description(Some(about)).build()
}

fn operations(item: &mut PathItem) -> impl Iterator<Item = &mut Operation> {
    [&mut item.get, &mut item.put, &mut item.post, &mut item.delete].into_iter().flatten()
}

/// Every operation can fail, and tells all failures in the same way.
fn complete(operation: &mut Operation) {
    let problem =
        ContentBuilder::new().schema(Some(RefOr::Ref(Ref::from_schema_name(Problem::name())))).build();
    let response = ResponseBuilder::new()
        .description("Any fault: what is wrong and how to mend it.")
        .content("application/problem+json", problem)
        .build();
    operation.responses.responses.insert("default".to_owned(), RefOr::T(response));
}
