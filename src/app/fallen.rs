//! What does the page say if the program stops? A defect must not look like a screen that hangs.

/// From now on, a panic puts a plain notice on the page. What was kept stays kept: nothing is shown before it is.
pub fn watch() {
    std::panic::set_hook(Box::new(|defect| {
        web_sys::console::error_1(&defect.to_string().into());
        tell();
    }));
}

/// Puts the notice on the page with the platform alone: the program that draws the screens no longer runs.
fn tell() -> Option<()> {
    let document = web_sys::window()?.document()?;
    let notice = document.create_element("div").ok()?;
    notice.set_class_name("fallen");
    notice.set_attribute("role", "alert").ok()?;
    let words = document.create_element("p").ok()?;
    words.set_text_content(Some(
        "Loomwalk has stopped over a defect. Everything that was shown as kept is still on this phone.",
    ));
    notice.append_child(&words).ok()?;
    let again = document.create_element("a").ok()?;
    again.set_attribute("href", "").ok()?;
    again.set_class_name("key main");
    again.set_text_content(Some("Start again"));
    notice.append_child(&again).ok()?;
    document.body()?.append_child(&notice).ok()?;
    Some(())
}
