mod support;
use support::{post, service};
#[tokio::test]
async fn show() {
    for body in [evenround::document::lengthening_example::mitts(), evenround::document::lengthening_example::cowl()] {
        for accept in ["application/json", "text/plain"] {
            let answer = post(&service().await, "/v1/lengthenings", &[("content-type", "application/json"), ("accept", accept)], body.to_string()).await;
            println!("{body}\n{}\n", if accept == "text/plain" { answer.text().to_owned() } else { serde_json::to_string_pretty(&answer.json()).unwrap() });
        }
    }
}
