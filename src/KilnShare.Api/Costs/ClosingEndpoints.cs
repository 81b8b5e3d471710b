using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Kilns;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using KilnShare.Storage.Costs;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Costs;

/// <summary>Closing of months in the books.</summary>
public static class ClosingEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapClosings(this RouteGroupBuilder studio)
    {
        var closings = studio.MapGroup("/closings").WithTags("Costs");
        closings.MapPut("/{month}", Close).WithName("closeMonth").Answers<ClosingAnswer>().Refuses(409, 422);
        closings.MapGet("", List).WithName("listClosings").Answers<Page<ClosingAnswer>>();
    }

    /// <summary>Close a month</summary>
    /// <remarks>
    /// With all before it. No entry can be dated into it afterwards; what was wrong is put right by entries of an open month. It cannot be opened
    /// again. Closing it twice is closing it once.
    /// </remarks>
    private static async Task<IResult> Close(string month, Caller caller, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        var studio = await StudioReading.ReadStudio(db, cancellation);
        if (PeriodClosing.EndOf(month, DateTimeZoneProviders.Tzdb[studio.TimeZone]) is not { } until)
            return Problems.Of(Refusal.Invalid("request.not-a-month", "Takes a month such as 2026-01.", "/month"));
        await using var writing = await db.Database.BeginTransactionAsync(cancellation);
        await db.HoldBooks(caller.StudioId, cancellation);
        var closings = await Closings(db, caller).ToListAsync(cancellation);
        if (closings.Find(c => c.Month == month) is { } before) return TypedResults.Ok(ClosingAnswer.Of(before));
        if (PeriodClosing.Check(until, closings.LastOrDefault(), clock.GetCurrentInstant()) is { } refusal) return Problems.Of(refusal);
        var (entries, amountMinor) = await db.SumBefore(caller.StudioId, until, cancellation);
        var closing = new PeriodClosing(
            caller.StudioId, month, until, entries, amountMinor, await NamesNow(db, studio, cancellation), caller.MemberId, clock.GetCurrentInstant());
        db.Add(closing);
        Trail.Note(db, caller.StudioId, caller.MemberId, "closings.close", caller.StudioId.Value, clock);
        await db.SaveChangesAsync(cancellation);
        await writing.CommitAsync(cancellation);
        return TypedResults.Ok(ClosingAnswer.Of(await Closings(db, caller).SingleAsync(c => c.Month == month, cancellation)));
    }

    /// <summary>List the closed months</summary>
    private static async Task<IResult> List(Caller caller, KilnShareDb db, CancellationToken cancellation)
    {
        var isShown = await StudioReading.SeesAllAmounts(db, caller, cancellation);
        var closings = await Closings(db, caller).ToListAsync(cancellation);
        return TypedResults.Ok(new Page<ClosingAnswer> { Items = [.. closings.Select(c => ClosingAnswer.Of(c, isShown))], Next = null });
    }

    /// <summary>The closing that a period up to a day falls under, the earliest of them; null where it is not wholly closed.</summary>
    internal static async Task<PeriodClosing?> Of(KilnShareDb db, Caller caller, LocalDate end, CancellationToken cancellation) =>
        (await Closings(db, caller).ToListAsync(cancellation))
            .Find(c => DateTimeZoneProviders.Tzdb[c.Names.TimeZone].AtStartOfDay(end).ToInstant() <= c.ClosedUntil);

    private static IQueryable<PeriodClosing> Closings(KilnShareDb db, Caller caller) =>
        db.Set<PeriodClosing>().AsNoTracking().Where(c => c.StudioId == caller.StudioId).OrderBy(c => c.ClosedUntil);

    private static async Task<ClosingNames> NamesNow(KilnShareDb db, Studio studio, CancellationToken cancellation) => new(
        studio.Name, studio.TimeZone,
        await db.Set<Member>().AsNoTracking().ToDictionaryAsync(m => m.Id.ToString(), m => m.Name, StringComparer.Ordinal, cancellation),
        (await db.Set<Kiln>().AsNoTracking().ToListAsync(cancellation)).ToDictionary(k => k.Id.ToString(), k => k.Making.Name, StringComparer.Ordinal));
}
