using System.Text;
using Ical.Net;
using Ical.Net.CalendarComponents;
using Ical.Net.DataTypes;
using Ical.Net.Serialization;
using KilnShare.Api.Access;
using KilnShare.Api.Papers;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Firings;

/// <summary>A studio's firings as a calendar (RFC 5545).</summary>
public static class FiringCalendar
{
    private const int Most = 500;
    private static readonly NodaTime.Duration Past = NodaTime.Duration.FromDays(90);

    /// <summary>Maps the route.</summary>
    public static void MapFiringCalendar(this RouteGroupBuilder studio) =>
        studio.MapGet("/firings/calendar.ics", Read).WithTags("Firings").WithName("readFiringCalendar").AnswersCalendar();

    /// <summary>Read the firings as a calendar</summary>
    /// <remarks>
    /// RFC 5545, in the studio's time zone, from 90 days ago on, 500 firings at most. A cancelled firing stays in it as cancelled. Send the token as
    /// with any other call.
    /// </remarks>
    private static async Task<IResult> Read(Caller caller, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        var now = clock.GetCurrentInstant();
        var from = now - Past;
        var studio = await db.Set<Studio>().AsNoTracking().SingleAsync(s => s.StudioId == caller.StudioId, cancellation);
        var kilns = await db.Set<Kiln>().AsNoTracking().Where(k => k.StudioId == caller.StudioId)
            .ToDictionaryAsync(k => k.Id, k => k.Making.Name, cancellation);
        var firings = await db.Set<Firing>().AsNoTracking()
            .Where(f => f.StudioId == caller.StudioId && f.StartsAt > from).OrderBy(f => f.StartsAt).ThenBy(f => f.Id).Take(Most).ToListAsync(cancellation);
        return TypedResults.Text(Write(studio, firings, id => kilns[id], StampOf(now)), "text/calendar", Encoding.UTF8);
    }

    /// <summary>The day's beginning: stamped with the moment of asking, an unchanged calendar would be another one at every look.</summary>
    private static Instant StampOf(Instant now) => now.InUtc().Date.AtMidnight().InUtc().ToInstant();

    /// <summary>The calendar of these firings.</summary>
    internal static string Write(Studio studio, IReadOnlyList<Firing> firings, Func<Id<Kiln>, string> kilnName, Instant now)
    {
        var zone = DateTimeZoneProviders.Tzdb[studio.TimeZone];
        var calendar = new Calendar { ProductId = "-//KilnShare//Firings//EN", Method = "PUBLISH" };
        calendar.AddProperty("X-WR-CALNAME", studio.Name);
        var earliest = firings.Count == 0 ? now : Instant.Min(now, firings[0].StartsAt);
        calendar.AddTimeZone(VTimeZone.FromDateTimeZone(zone.Id, earliest.ToDateTimeUtc(), false));
        foreach (var firing in firings) calendar.Events.Add(EventOf(firing, kilnName(firing.KilnId), zone, now));
        return new CalendarSerializer().SerializeToString(calendar) ?? throw new InvalidOperationException("The calendar came out empty.");
    }

    private static CalendarEvent EventOf(Firing firing, string kiln, DateTimeZone zone, Instant now) => new()
    {
        Uid = $"{firing.Id}@kilnshare",
        Sequence = (int)Math.Min(firing.Version - 1, int.MaxValue),
        DtStamp = new CalDateTime(now.ToDateTimeUtc()),
        Start = In(firing.StartsAt, zone),
        End = In(firing.EndsAt, zone),
        Summary = $"{kiln}: {FiringWords.Of(firing)}",
        Description = $"State: {FiringStates.Word(firing.State)}. The kiln is kept from lighting until it may be unloaded; hours entered by a person.",
        Location = kiln,
        Status = firing.State switch
        {
            FiringState.Cancelled => EventStatus.Cancelled,
            FiringState.Draft => EventStatus.Tentative,
            _ => EventStatus.Confirmed,
        },
    };

    private static CalDateTime In(Instant time, DateTimeZone zone) => new(time.InZone(zone).ToDateTimeUnspecified(), zone.Id);
}
