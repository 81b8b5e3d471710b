using KilnShare.Api.Papers;
using KilnShare.Core.Common;

namespace KilnShare.Api.Costs;

/// <summary>A statement as a table for spreadsheets and as a paper to print.</summary>
internal static class StatementPapers
{
    /// <summary>One row a line, the opening and closing balance around them.</summary>
    public static CsvTable Csv(StatementAnswer statement)
    {
        var currency = Currency.Parse(statement.Currency)!.Value;
        var table = new CsvTable("date", "kind", "what", "note", "amount", "balance", "currency", "pieces", "share_percent", "energy_kwh", "per_kwh");
        Row(statement.From, "opening", "balance before", null, null, statement.OpeningMinor, null);
        foreach (var l in statement.Entries)
            Row(l.Date, Common.EnumWord<Core.Costs.EntryKind>.Of(l.Kind), l.What, l.Note, l.AmountMinor, l.BalanceMinor, l.Share);
        Row(statement.LastDay, "closing", "balance after", null, null, statement.ClosingMinor, null);
        return table;

        void Row(string date, string kind, string what, string? note, long? amount, long balance, StatementShareContract? share) => table
            .Text(date).Text(kind).Text(what).Text(note).Number(amount is { } a ? Major(a, currency) : null).Number(Major(balance, currency))
                .Text(statement.Currency)
            .Number(share?.Pieces).Number(share?.SharePercent).Number(share?.EnergyKwh).Text(share?.PerKwh).EndRow();
    }

    /// <summary>A paper for the member.</summary>
    public static PdfPaper Pdf(StatementAnswer statement, DateTime madeUtc)
    {
        var currency = Currency.Parse(statement.Currency)!.Value;
        string Money(long minor) => MoneyText.Of(minor, currency);
        List<PaperRow> rows = [new PaperRow([statement.From, "Balance before", "", Money(statement.OpeningMinor)], true)];
        rows.AddRange(statement.Entries.Select(l => new PaperRow(
            [l.Date, What(l), Money(l.AmountMinor), Money(l.BalanceMinor)])));
        rows.Add(new PaperRow(
            [statement.LastDay, "Balance after", Money(statement.ClosingMinor - statement.OpeningMinor), Money(statement.ClosingMinor)], true));
        return new PdfPaper($"Statement of account: {statement.Name}", madeUtc)
            .Text($"{statement.Studio}. From {statement.From} to {statement.LastDay}. All amounts in {statement.Currency}.")
            .Text(Standing(statement, currency))
            .Heading("What happened")
            .Table([new PaperColumn(
                "Date", 14), new PaperColumn("What for", 56), new PaperColumn("Amount", 14, true), new PaperColumn("Balance", 16, true)], rows)
            .Text("An amount above 0 is a charge, below 0 a payment or a credit. A balance above 0 is owed to the studio. No line of it is a tax invoice.");
    }

    private static string What(StatementLineContract line) => line switch
    {
        { Share.Words.Length: > 0 } => $"{line.What} ({line.Share.Words})",
        { Note: not null } => $"{line.What} ({line.Note})",
        _ => line.What,
    };

    private static string Standing(StatementAnswer statement, Currency currency) => statement.ClosingMinor switch
    {
        > 0 => $"At the end you owe the studio {MoneyText.Of(statement.ClosingMinor, currency)} {currency}.",
        < 0 => $"At the end the studio owes you {MoneyText.Of(-(Int128)statement.ClosingMinor, currency)} {currency}.",
        _ => "At the end nothing is owed.",
    };

    /// <summary>Major units as a number with the currency's digits.</summary>
    internal static decimal Major(long minor, Currency currency) =>
        decimal.Parse(MoneyText.Of(minor, currency), System.Globalization.CultureInfo.InvariantCulture);
}
