using System.Globalization;
using KilnShare.Api.Papers;
using KilnShare.Core.Common;

namespace KilnShare.Api.Costs;

/// <summary>A studio's year as a table for spreadsheets and as a paper to print.</summary>
internal static class YearPapers
{
    /// <summary>One row a month, the year, and one a kiln.</summary>
    public static CsvTable Csv(StudioYearAnswer year)
    {
        var currency = Currency.Parse(year.Currency)!.Value;
        var table = new CsvTable("what", "name", "firings", "energy_kwh", "charged", "studio", "adjusted", "received", "cost", "currency", "vat");
        for (var month = 0; month < year.Months.Count; month++) Sum("month", MonthOf(year, month), year.Months[month]);
        Sum("year", year.Year.ToString(CultureInfo.InvariantCulture), year.Whole);
        foreach (var kiln in year.Kilns)
        {
            table.Text("kiln").Text(kiln.Name).Number(kiln.Firings).Number(kiln.EnergyKwh).Text("").Text("").Text("").Text("")
                .Number(StatementPapers.Major(kiln.CostMinor, currency)).Text(year.Currency).Text("").EndRow();
        }

        return table;

        void Sum(string what, string name, PeriodSumContract sum) => table.Text(what).Text(name).Number(sum.Firings).Text("")
            .Number(StatementPapers.Major(sum.ChargedMinor, currency)).Number(StatementPapers.Major(sum.StudioMinor, currency))
            .Number(StatementPapers.Major(sum.AdjustedMinor, currency)).Number(StatementPapers.Major(sum.ReceivedMinor, currency))
            .Text("").Text(year.Currency).Number(StatementPapers.Major(sum.VatMinor, currency)).EndRow();
    }

    /// <summary>A paper for the treasurer's folder.</summary>
    public static PdfPaper Pdf(StudioYearAnswer year, string studio, DateTime madeUtc)
    {
        var currency = Currency.Parse(year.Currency)!.Value;
        string Money(long minor) => MoneyText.Of(minor, currency);
        PaperRow Sum(string name, PeriodSumContract sum, bool bold) => new(
            [name, Whole(sum.Firings), Money(sum.ChargedMinor), Money(sum.StudioMinor), Money(sum.AdjustedMinor), Money(sum.ReceivedMinor)], bold);
        return new PdfPaper($"Year {year.Year}", madeUtc)
            .Text($"{studio}. All amounts in {year.Currency}. At the end of the year members owe {Money(year.OwedAtEndMinor)}.{VatWords(year, Money)}")
            .Heading("By month")
            .Table(
                [new PaperColumn("Month", 14), new PaperColumn("Firings", 10, true), new PaperColumn("Charged", 18, true), new PaperColumn(
                    "Studio bore", 18, true), new PaperColumn("Charges and credits", 22, true), new PaperColumn("Money in", 18, true)],
                [.. year.Months.Select((m, i) => Sum(MonthOf(year, i), m, false)), Sum("Year", year.Whole, true)])
            .Text("Charged: members' parts of firings. Studio bore: unused room, discounts, credits and damage, less what was made good. Money in: "
                + "less money out.")
            .Heading("By kiln")
            .Table(
                [new PaperColumn("Kiln", 46), new PaperColumn("Firings", 12, true), new PaperColumn("kWh", 20, true), new PaperColumn("Cost", 22, true)],
                [.. year.Kilns.Select(k => new PaperRow([k.Name, Whole(k.Firings), Kwh(k.EnergyKwh), Money(k.CostMinor)])),
                    new PaperRow(["All kilns", Whole(
                        year.Kilns.Sum(k => k.Firings)), Kwh(year.Kilns.Sum(k => k.EnergyKwh)), Money(year.Kilns.Sum(k => k.CostMinor))], true)])
            .Text("A firing counts in the year of its latest settlement.");
    }

    private static string VatWords(StudioYearAnswer year, Func<long, string> money) =>
        year.Whole.VatMinor == 0 ? "" : $" On top of what was charged stand {money(year.Whole.VatMinor)} of value added tax, in an account of their own.";

    private static string MonthOf(StudioYearAnswer year, int month) => string.Create(CultureInfo.InvariantCulture, $"{year.Year}-{month + 1:00}");

    private static string Whole(int figure) => figure.ToString(CultureInfo.InvariantCulture);

    private static string Kwh(decimal figure) => figure.ToString("0.000", CultureInfo.InvariantCulture);
}
