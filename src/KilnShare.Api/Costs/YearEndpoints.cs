using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Api.Papers;
using KilnShare.Core.Costs;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Storage;
using KilnShare.Storage.Costs;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Costs;

/// <summary>A studio's year.</summary>
public static class YearEndpoints
{
    private const int FirstYear = 2000;
    private const int LastYear = 2099;

    /// <summary>Maps the routes.</summary>
    public static void MapYears(this RouteGroupBuilder studio)
    {
        studio.MapGet("/years/{year:int}", Read).WithTags("Costs").WithName("readYear").Answers<StudioYearAnswer>();
        studio.MapGet("/years/{year:int}.csv", ReadCsv).WithTags("Costs").WithName("readYearCsv").AnswersCsv();
        studio.MapGet("/years/{year:int}.pdf", ReadPdf).WithTags("Costs").WithName("readYearPdf").AnswersPdf();
    }

    /// <summary>Read the studio's year</summary>
    private static async Task<IResult> Read(int year, Caller caller, KilnShareDb db, CancellationToken cancellation) =>
        await Make(year, caller, db, cancellation) is { } answer ? TypedResults.Ok(answer) : NoSuchYear();

    /// <summary>Read the studio's year as a table</summary>
    private static async Task<IResult> ReadCsv(int year, Caller caller, KilnShareDb db, CancellationToken cancellation) =>
        await Make(year, caller, db, cancellation) is { } answer ? YearPapers.Csv(answer).Answer($"year-{year}.csv") : NoSuchYear();

    /// <summary>Read the studio's year as a paper</summary>
    private static async Task<IResult> ReadPdf(int year, Caller caller, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        if (await Make(year, caller, db, cancellation) is not { } answer) return NoSuchYear();
        using var paper = YearPapers.Pdf(answer, (await StudioReading.ReadStudio(db, cancellation)).Name, clock.GetCurrentInstant().ToDateTimeUtc());
        return paper.Answer($"year-{year}.pdf");
    }

    private static async Task<StudioYearAnswer?> Make(int year, Caller caller, KilnShareDb db, CancellationToken cancellation)
    {
        if (year is < FirstYear or > LastYear) return null;
        var studio = await StudioReading.ReadStudio(db, cancellation);
        var sums = await db.ReadYear(studio, year, cancellation);
        return new StudioYearAnswer
        {
            Year = year,
            Currency = studio.Currency,
            Months = [.. sums.Months.Select(PeriodSumContract.Of)],
            Whole = PeriodSumContract.Of(sums.Whole),
            OwedAtEndMinor = (long)sums.OwedAtEndMinor,
            Kilns = await KilnsOf(db, caller, year, DateTimeZoneProviders.Tzdb[studio.TimeZone], cancellation),
        };
    }

    private static async Task<IReadOnlyList<KilnYearContract>> KilnsOf(
        KilnShareDb db, Caller caller, int year, DateTimeZone zone, CancellationToken cancellation)
    {
        var (start, end) = (zone.AtStartOfDay(new LocalDate(year, 1, 1)).ToInstant(), zone.AtStartOfDay(new LocalDate(year + 1, 1, 1)).ToInstant());
        var settlements = db.Set<FiringSettlement>().AsNoTracking().Where(s => s.StudioId == caller.StudioId);
        var rows = await (from s in settlements
                          where s.SettledAt >= start && s.SettledAt < end
                              && !settlements.Any(later => later.FiringId == s.FiringId && later.Revision > s.Revision)
                          join f in db.Set<Firing>() on new { s.StudioId, Id = s.FiringId } equals new { f.StudioId, f.Id }
                          select new { f.KilnId, s.EnergyKwh, s.Split }).ToListAsync(cancellation);
        var kilnIds = rows.Select(r => r.KilnId).Distinct().ToList();
        var kilns = await db.Set<Kiln>().AsNoTracking().Where(k => k.StudioId == caller.StudioId && kilnIds.Contains(k.Id)).ToListAsync(cancellation);
        return [.. kilns.OrderBy(k => k.Making.Name, StringComparer.Ordinal).Select(k => new KilnYearContract
        {
            KilnId = k.Id.Value,
            Name = k.Making.Name,
            Firings = rows.Count(r => r.KilnId == k.Id),
            EnergyKwh = rows.Where(r => r.KilnId == k.Id).Sum(r => r.EnergyKwh),
            CostMinor = rows.Where(r => r.KilnId == k.Id).Sum(r => r.Split.TotalMinor),
        })];
    }

    private static IResult NoSuchYear() =>
        Problems.Answer(400, "request.out-of-range", $"Takes a year from {FirstYear} to {LastYear}.", "/year", null, null);
}
