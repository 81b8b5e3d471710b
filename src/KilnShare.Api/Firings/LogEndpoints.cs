using System.Globalization;
using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Api.Studios;
using KilnShare.Core.Common;
using KilnShare.Core.Firings;
using KilnShare.Core.Firings.Csv;
using KilnShare.Storage;
using KilnShare.Storage.Bookings;
using Microsoft.EntityFrameworkCore;
using NodaTime;
using NodaTime.Text;

namespace KilnShare.Api.Firings;

/// <summary>Temperatures of a firing, from a logger that is not trusted.</summary>
public static class LogEndpoints
{
    private const int MostOnPage = 5_000;
    private const double MinuteSeconds = 60;
    private const double HoleSeconds = 600;

    /// <summary>Maps the routes.</summary>
    public static void MapLogs(this RouteGroupBuilder studio)
    {
        var readings = studio.MapGroup("/firings/{firingId:guid}/readings").WithTags("Firings");
        readings.MapPost("", Take).WithName("createReadings").Answers<LogReceiptAnswer>().Refuses(409, 413, 422);
        readings.MapPost("/csv", TakeCsv).WithName("createReadingsFromCsv").Accepts<CsvBody>(CsvBody.MediaType).Answers<LogCsvReceiptAnswer>()
            .Refuses(409, 413, 415, 422);
        readings.MapGet("", Read).WithName("listReadings").Answers<Page<LogReadingContract>>().Refuses(422);
    }

    /// <summary>Take readings of a logger</summary>
    /// <remarks>
    /// Send a batch again as often as you like: each reading is stored once, by its number. What is absurd, from the future or contradicts what is
    /// stored is refused by number while the rest is taken; where nothing at all could be taken the answer is a 422. Readings that show heat make a
    /// fixed or loaded firing a heating one, whether or not anybody gave the command to light: it is told, and marked where the checks were not done.
    /// </remarks>
    private static Task<IResult> Take(Guid firingId, LogBatchBody body, Caller caller, KilnShareDb db, IClock clock, CancellationToken cancellation) =>
        Store(firingId, _ => new Sent(body.ToCore(), null), caller, db, clock, cancellation);

    /// <summary>Take readings of a logger as CSV</summary>
    /// <remarks>
    /// The file a logger or a spreadsheet writes, 10,000 readings at most; a longer one is sent in parts, each with the header. Commas, semicolons or
    /// tabs between the columns; a point or a comma for decimals; a header that names time and temperature (other columns are left out; two columns may
    /// do without). Times are RFC 3339, or date and time in the studio's zone, or what has passed since the start: a number in the header's unit,
    /// minutes where it names none, or hours:minutes or hours:minutes:seconds. The answer says under recognised what the file was taken to be. A cell
    /// that cannot be read refuses the whole file, by line and column; what is wrong with a reading itself is told as for any batch.
    /// </remarks>
    private static async Task<IResult> TakeCsv(
        Guid firingId, CsvBody body, Caller caller, KilnShareDb db, IClock clock, QueryWord<LogUnit>? unit, string? startedAt, CancellationToken cancellation)
    {
        if (!TryReadStart(startedAt, out var start))
            return Problems.Of(
                Refusal.Invalid("request.malformed", "startedAt takes a date and time with an offset, such as 2026-03-14T06:00:00Z.", "/startedAt"));
        var zone = await StudioZone.Of(db, cancellation);
        return await Store(
            firingId, firing => LogCsv.Read(body.Utf8.Span, new LogCsvHints(unit?.Value, start, firing.LitAt, zone))
                .Then<Sent>(csv => new Sent(csv.Batch, csv.Form)), caller, db, clock, cancellation);
    }

    /// <summary>Readings to store.</summary>
    /// <param name="Batch">The readings.</param>
    /// <param name="Form">What their file was taken to be; null where they came as JSON.</param>
    private sealed record Sent(LogBatch Batch, LogCsvForm? Form)
    {
        public string? Pointer => Form is null ? "/readings" : null;
    }

    private static async Task<IResult> Store(
        Guid firingId, Func<Firing, Result<Sent>> read, Caller caller, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        await using var writing = await db.Database.BeginTransactionAsync(cancellation);
        // One batch at a time for a firing, so that two of them cannot both think a reading new, and none beside a move of the firing.
        await db.LockPlan(caller.StudioId, new Id<Firing>(firingId), cancellation);
        if (await db.FindAsync<Firing>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is not { } firing) return Problems.Absent();
        if (firing.State is FiringState.Draft or FiringState.Accepting or FiringState.Cancelled)
            return Problems.Of(Refusal.Conflict(
                "firings.not-fixed", $"A firing that is {FiringStates.Word(firing.State)} has no log. Send the readings to the firing that is running."));
        if (!read(firing).TryGet(out var sent, out var unread)) return Problems.Of(unread);
        var chunks = await db.Set<LogChunk>().Where(c => c.StudioId == firing.StudioId && c.FiringId == firing.Id).OrderBy(c => c.Number)
            .ToListAsync(cancellation);
        var log = FiringLog.AssemblyOf(firing, chunks);
        if (!log.Accept(sent.Batch, clock.GetCurrentInstant()).TryGet(out var receipt, out var refusal))
            return Problems.Of(refusal with { Pointer = sent.Form is null ? refusal.Pointer : null });
        if (NothingTaken(receipt, sent.Pointer) is { } refused) return Problems.Of(refused);
        if (receipt.Stored.Count > 0) Keep(db, firing, chunks, receipt.Stored);
        if (chunks.Count == 0) Trail.Note(db, caller.StudioId, caller.MemberId, "firings.log-begun", firingId, clock);
        if (receipt.Stored.Count > 0) await Lighting.Heed(db, caller, firing, log, clock, cancellation);
        await db.SaveChangesAsync(cancellation);
        await writing.CommitAsync(cancellation);
        var answer = LogReceiptAnswer.Of(receipt);
        return sent.Form is { } form ? TypedResults.Ok(LogCsvReceiptAnswer.Of(answer, form)) : TypedResults.Ok(answer);
    }

    /// <summary>Read a firing's log</summary>
    /// <remarks>
    /// resolution raw, or none: every reading, in pages; minutes: the curve without spikes, a temperature for each minute and null in holes of more than
    /// ten; summary: a few figures.
    /// </remarks>
    private static async Task<IResult> Read(
        Guid firingId, Caller caller, HttpContext context, KilnShareDb db, QueryWord<LogResolution>? resolution, string? after, int? limit,
            CancellationToken cancellation)
    {
        if (await db.FindAsync<Firing>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is not { } firing) return Problems.Absent();
        var log = await FiringLog.Read(db, firing, cancellation);
        if ((resolution?.Value ?? LogResolution.Raw) == LogResolution.Raw) return RawPage(context, log, after, limit);
        if (!log.ToCurve().TryGet(out var curve, out var refusal)) return Problems.Of(refusal);
        return resolution?.Value == LogResolution.Summary
            ? TypedResults.Ok(LogSummaryContract.Of(LogSummary.Of(log.Readings, log.Assembly.Gaps, curve, log.Start), log.Assembly.Gaps))
            : TypedResults.Ok(new LogMinutesAnswer { StartedAt = log.Start, Items = [.. curve.Every(MinuteSeconds, HoleSeconds).Select(MinuteOf)] });
    }

    private static LogMinuteContract MinuteOf(LogSample sample) =>
        new() { AtSeconds = sample.AtSeconds, Celsius = sample.Celsius is { } c ? Math.Round(c, 1) : null };

    private static void Keep(KilnShareDb db, Firing firing, List<LogChunk> chunks, IReadOnlyList<LogReading> stored)
    {
        if (chunks.Count > 0 && chunks[^1].Count < LogChunk.FullAt) chunks[^1].Append(stored);
        else db.Add(LogChunk.Of(firing, chunks.Count, stored));
    }

    private static Refusal? NothingTaken(LogReceipt receipt, string? pointer) => receipt.Stored.Count > 0 || receipt.Repeated > 0 || receipt.Refused.Count == 0
        ? null
        : Refusal.Rule(receipt.RefusedAlike[0].Code, receipt.RefusedAlike[0].Message, pointer) with
        {
            Values = new Dictionary<string, object?>(StringComparer.Ordinal) { ["refused"] = receipt.RefusedAlike.Select(RefusedReadingContract.Of).ToList() },
        };

    /// <summary>A page begins after a reading, named by time, run and number, so that what comes late does not shift it.</summary>
    private static IResult RawPage(HttpContext context, FiringLog log, string? after, int? limit)
    {
        if (limit is < 1 or > MostOnPage) return Problems.Of(Refusal.Invalid("request.out-of-range", $"limit takes 1 to {MostOnPage}.", "/limit"));
        if (!TryReadPlace(after, out var place))
            return Problems.Of(Refusal.Invalid("request.bad-cursor", "after takes the next of an earlier page.", "/after"));
        var take = limit ?? MostOnPage;
        var found = log.Readings.Where(r => PlaceOf(r).CompareTo(place) > 0).Take(take + 1).ToList();
        var next = found.Count > take ? Write(PlaceOf(found[take - 1])) : null;
        if (next is not null) context.Response.Headers.Link = $"<{context.Request.Path}?resolution=raw&after={next}&limit={take}>; rel=\"next\"";
        return TypedResults.Ok(new Page<LogReadingContract> { Items = [.. found.Take(take).Select(LogReadingContract.Of)], Next = next });
    }

    private static (long Ms, int Run, long Sequence) PlaceOf(LogReading reading) => (reading.At.ToUnixTimeMilliseconds(), reading.Run, reading.Sequence);

    private static string Write((long Ms, int Run, long Sequence) place) =>
        string.Create(CultureInfo.InvariantCulture, $"{place.Ms}.{place.Run}.{place.Sequence}");

    // A plus that was not encoded arrives as a blank.
    private static bool TryReadStart(string? text, out Instant? start)
    {
        var read = text is null ? null : OffsetDateTimePattern.Rfc3339.Parse(text.Replace(' ', '+'));
        start = read is { Success: true } ? read.Value.ToInstant() : null;
        return read is null or { Success: true };
    }

    private static bool TryReadPlace(string? text, out (long Ms, int Run, long Sequence) place)
    {
        place = (long.MinValue, 0, 0);
        if (text is null) return true;
        var parts = text.Split('.');
        var good = parts.Length == 3 & long.TryParse(parts[0], NumberStyles.None, CultureInfo.InvariantCulture, out var ms)
            & int.TryParse(parts.ElementAtOrDefault(1), NumberStyles.None, CultureInfo.InvariantCulture, out var run)
            & long.TryParse(parts.ElementAtOrDefault(2), NumberStyles.None, CultureInfo.InvariantCulture, out var sequence);
        place = (ms, run, sequence);
        return good;
    }
}
