//! `/problems/NAME`: the page behind the `type` of a refusal.

use axum::extract::Path;
use axum::response::Response;

use crate::html::{escape, page};
use crate::problem::{self, Problem, ProblemDetails};

/// Explains one kind of refusal in plain words.
#[utoipa::path(
    get,
    path = "/problems/{name}",
    operation_id = "get_problem",
    tag = "about the service",
    summary = "What one kind of refusal means",
    params(("name" = String, Path, description = "The last part of the refusal's `type`", example = json!("not-utf-8"))),
    responses(
        (status = 200, description = "A page about it", body = String, content_type = "text/html"),
        (status = 404, description = "There is no such kind", body = ProblemDetails, content_type = "application/problem+json",
            example = json!(crate::document::problem_example(problem::NOT_FOUND)))
    )
)]
pub async fn get(Path(name): Path<String>) -> Result<Response, Problem> {
    let kind = problem::KINDS
        .iter()
        .find(|kind| kind.name == name)
        .ok_or_else(|| Problem::new(problem::NOT_FOUND, "there is no kind of refusal of this name"))?;
    let body = format!(
        "<h1>{title}</h1>\n<p>{what}</p>\n<h2>What to do</h2>\n<p>{remedy}</p>\n\
         <p class=\"aside\">Answers of this kind have the status {status} and the type <code>/problems/{name}</code>.</p>\n\
         <p><a href=\"/\">Evenround</a> · <a href=\"/docs/\">All addresses</a></p>\n",
        title = escape(kind.title),
        what = escape(kind.what),
        remedy = escape(kind.remedy),
        status = kind.status.as_u16(),
        name = kind.name,
    );
    Ok(page(kind.title, &body))
}
