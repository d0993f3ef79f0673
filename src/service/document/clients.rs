//! What generated clients want of every operation, put in once when the document is made.

use utoipa::openapi::path::{Operation, Parameter, ParameterIn};
use utoipa::openapi::schema::SchemaType;
use utoipa::openapi::security::{HttpAuthScheme, HttpBuilder, SecurityRequirement, SecurityScheme};
use utoipa::openapi::{Object, OpenApi, PathItem, RefOr, Required, Schema, Type};

/// The name of a key among the ways to say who is asking.
const KEY: &str = "key";

/// Media types of streams of JSON.
const STREAMS: [&str; 3] = ["application/x-ndjson", "application/jsonl", "application/json-seq"];

/// The document with it.
pub fn ready(mut document: OpenApi) -> OpenApi {
    let key = HttpBuilder::new()
        .scheme(HttpAuthScheme::Bearer)
        .description(Some("A key that `evenround key create` has made. None is needed for what comes straight from the service's own machine"))
        .build();
    document.components.get_or_insert_default().add_security_scheme(KEY, SecurityScheme::Http(key));
    // Above all operations and never demanded: which one wants a key depends on where the service listens and what is asked.
    document.security = Some(vec![SecurityRequirement::default(), SecurityRequirement::new(KEY, [""; 0])]);
    for operation in document.paths.paths.values_mut().flat_map(operations) {
        if let Some(RefOr::T(body)) = &mut operation.request_body {
            // A stream may have nothing in it.
            if body.content.keys().any(|media_type| STREAMS.contains(&media_type.as_str())) {
                body.required = Some(Required::False);
            }
            for content in body.content.values_mut() {
                if let RefOr::T(content) = content {
                    content.schema = content.schema.take().map(what_is_sent);
                }
            }
        }
        for parameter in operation.parameters.iter_mut().flatten() {
            if let RefOr::T(parameter) = parameter {
                never_null(parameter);
            }
        }
    }
    document
}

fn operations(item: &mut PathItem) -> impl Iterator<Item = &mut Operation> {
    let PathItem { get, put, post, delete, patch, .. } = item;
    [get, put, post, delete, patch].into_iter().flatten()
}

/// A body that need not be there is left out; there is no null to send.
fn what_is_sent(schema: RefOr<Schema>) -> RefOr<Schema> {
    let is_null = |one: &RefOr<Schema>| {
        matches!(one, RefOr::T(Schema::Object(Object { schema_type: SchemaType::Type(Type::Null), .. })))
    };
    match schema {
        RefOr::T(Schema::OneOf(mut choice)) => match choice.items.as_slice() {
            [_, null] if is_null(null) => choice.items.swap_remove(0),
            _ => RefOr::T(Schema::OneOf(choice)),
        },
        other => other,
    }
}

/// A header that need not be there is left out; there is no null to send.
fn never_null(parameter: &mut Parameter) {
    if parameter.parameter_in != ParameterIn::Header {
        return;
    }
    if let Some(RefOr::T(Schema::Object(schema))) = &mut parameter.schema
        && let SchemaType::Array(types) = &mut schema.schema_type
    {
        types.retain(|one| *one != Type::Null);
        if let [one] = types.as_slice() {
            schema.schema_type = SchemaType::Type(one.clone());
        }
    }
}
