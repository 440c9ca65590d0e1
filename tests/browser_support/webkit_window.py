"""A window of WebKitGTK at phone size for its WebDriver: it keeps its profile, and puts downloads into a folder."""

import os
import sys

import gi

gi.require_version("Gtk", "3.0")
gi.require_version("WebKit2", "4.1")
from gi.repository import GLib, Gtk, WebKit2  # noqa: E402


def main(profile, downloads):
    manager = WebKit2.WebsiteDataManager(
        base_data_directory=os.path.join(profile, "data"), base_cache_directory=os.path.join(profile, "cache")
    )
    context = WebKit2.WebContext(website_data_manager=manager)
    context.set_preferred_languages(["en-US"])
    context.set_automation_allowed(True)

    def open_view(_session):
        view = WebKit2.WebView(web_context=context, is_controlled_by_automation=True)
        window = Gtk.Window(default_width=390, default_height=844)
        window.connect("destroy", Gtk.main_quit)
        window.add(view)
        window.show_all()
        return view

    def choose_place(download, name):
        download.set_destination(GLib.filename_to_uri(os.path.join(downloads, name)))
        return True

    context.connect("automation-started", lambda _context, session: session.connect("create-web-view", open_view))
    context.connect("download-started", lambda _context, download: download.connect("decide-destination", choose_place))
    Gtk.main()


main(*sys.argv[1:3])
