using System.Net;
using Ical.Net;
using KilnShare.Api.Firings;
using KilnShare.Api.Tests.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Cones;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Core.Materials;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Api.Tests.Firings;

/// <summary>The calendar of firings against RFC 5545.</summary>
public sealed class FiringCalendarTests(Service service) : IClassFixture<Service>
{
    private static readonly Instant Now = Instant.FromUtc(2026, 3, 1, 12, 0);

    [Fact]
    public async Task A_firing_keeps_its_name_in_the_calendar_and_is_shown_as_cancelled_when_it_is()
    {
        var studio = await service.MakeStudio();
        var firing = await studio.MakeFiring(await studio.MakeKiln());
        var path = studio.Path + "/firings/calendar.ics";
        var before = (await studio.Viewer.Get(path)).Expect(HttpStatusCode.OK);
        Assert.Equal("text/calendar; charset=utf-8", before.ContentType);
        var planned = Assert.Single(Calendar.Load(before.Text)!.Events);
        Assert.Equal("CONFIRMED", planned.Status);
        (await studio.Technician.Put($"{studio.Path}/firings/{firing}/state", new { state = "cancelled" })).Expect(HttpStatusCode.OK);
        var cancelled = Assert.Single(Calendar.Load((await studio.Viewer.Get(path)).Text)!.Events);
        Assert.Equal("CANCELLED", cancelled.Status);
        Assert.Equal(planned.Uid, cancelled.Uid);
        Assert.True(cancelled.Sequence > planned.Sequence);
        (await service.As(null).Get(path)).Expect(HttpStatusCode.Unauthorized);
    }

    [Fact]
    public void Lines_are_folded_at_75_octets_and_no_name_begins_an_event_or_an_attendee()
    {
        // RFC 5545 sections 3.1 and 3.3.11: octets of a line, and what is escaped in text.
        const string Hostile = "kiln; a, b\\ c\r\nEND:VEVENT\r\nBEGIN:VEVENT\r\nATTENDEE:mailto:x@example.org\r\n und ein sehr langer Name mit Öfen über "
            + "Öfen über Öfen";
        var text = Write(Hostile, At(2026, 3, 20, 6));
        var lines = text.Split("\r\n");
        Assert.All(lines, l => Assert.True(System.Text.Encoding.UTF8.GetByteCount(l) <= 75, l));
        Assert.DoesNotContain(lines, l => l.StartsWith("ATTENDEE", StringComparison.Ordinal));
        Assert.Single(lines, l => l == "BEGIN:VEVENT");
        Assert.Contains("kiln\\; a\\, b\\\\ c", text, StringComparison.Ordinal);
    }

    [Fact]
    public void The_zone_comes_with_its_rules_and_a_firing_over_the_change_of_clocks_ends_by_the_new_time()
    {
        // Berlin, 29 March 2026: 02:00 becomes 03:00 (tz database). Lit 20:00 CET, 31 hours: 04:00 CEST two mornings later.
        var text = Write("kiln", At(2026, 3, 28, 19));
        Assert.Contains("BEGIN:VTIMEZONE", text, StringComparison.Ordinal);
        Assert.Contains("TZOFFSETTO:+0200", text, StringComparison.Ordinal);
        Assert.Contains("DTSTART;TZID=Europe/Berlin:20260328T200000", text, StringComparison.Ordinal);
        Assert.Contains("DTEND;TZID=Europe/Berlin:20260330T040000", text, StringComparison.Ordinal);
    }

    // All firings lie ahead: the zone is described from today on all the same.
    [Fact]
    public void A_firing_in_far_years_is_written_like_any_other()
    {
        var text = Write("kiln", At(2077, 4, 14, 5));
        Assert.Contains("DTSTART;TZID=Europe/Berlin:20770414T070000", text, StringComparison.Ordinal);
        Assert.Contains("TZOFFSETTO:+0200", text, StringComparison.Ordinal);
    }

    private static Instant At(int year, int month, int day, int hour) => Instant.FromUtc(year, month, day, hour, 0);

    private static string Write(string kiln, Instant startsAt)
    {
        var studio = new Studio(new Id<Studio>(Guid.CreateVersion7()), "Lindenhof", "Europe/Berlin", "EUR", 0.3m, Now);
        Assert.True(Cone.TryParse("6", out var cone));
        var firing = new Firing(
            studio.StudioId, new Id<Firing>(Guid.CreateVersion7()), new Id<Kiln>(Guid.CreateVersion7()),
            new FiringAim(FiringKind.Glaze, cone, ConeSeries.SelfSupporting, Atmosphere.Oxidation), startsAt, 11, 20, Now);
        return FiringCalendar.Write(studio, [firing], _ => kiln, Now);
    }
}
